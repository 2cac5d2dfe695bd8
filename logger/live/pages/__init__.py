"""The pages as rows of text: pure functions of a view and of how a person wants to look at it."""
