"""Within, over or undecided: the one decision rule; knows no sweep."""
