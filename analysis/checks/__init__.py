"""The checks of a sweep, one entry each: what it looks at, severity, cause, words; knows no fit."""
