"""The version of the program; the package's own is read from here."""

PROGRAM_VERSION = "0.1.0"
