"""What one page works with: check run, comparison, adjusting, spot finder, typed entry."""
