"""Folders of text files in, one Library out."""

from handouts.load.content import find_club, load_library
from handouts.load.records import read_record

__all__ = ["find_club", "load_library", "read_record"]
