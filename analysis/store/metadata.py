"""The one list of tables; the modules that describe them add to it."""

from sqlalchemy import MetaData

metadata = MetaData()
