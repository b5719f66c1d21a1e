"""Tests of the inspection of finished files."""
