"""The version of the tables, told without loading the database library."""

SCHEMA_VERSION = 5
"""Version of the tables in schema.py; a test holds it equal to the newest file in migrations/versions."""

VERSION_TABLE = "store_version"
"""Our own name: a database that another program keeps with the same library is not taken for a store."""
