"""What keys mean on each page."""
