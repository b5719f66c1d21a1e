"""Folders of text files in, one Library out."""

from handouts.load.content import load_library
from handouts.load.records import read_record
from handouts.paths import find_club

__all__ = ["find_club", "load_library", "read_record"]
