from .check import FileCheck as FileCheck, check_file as check_file
from .layout import FORMAT as FORMAT, Origin as Origin
from .reader import RecordingReader as RecordingReader, read_items as read_items, sha256_of as sha256_of
from .seal import is_altered as is_altered
from .writer import RecordingWriter as RecordingWriter
