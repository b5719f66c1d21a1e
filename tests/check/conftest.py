"""What the tests of `check` share: the shipped content, read and checked once."""

import pytest

from handouts.check import check_all
from handouts.load import load_library

from .mutating import CONTENT, TODAY, key_of


@pytest.fixture(scope="session")
def base():
    """The shipped content."""
    return load_library(CONTENT)


@pytest.fixture(scope="session")
def known(base):
    """The findings of the shipped content."""
    return {key_of(finding) for finding in check_all(base, TODAY)}
