"""Tests of the answers to viewers' questions."""
