"""The live screen in Textual: keys go in, rows of the view are painted. Holds no arithmetic."""
