"""Test questions from the public, and the command that scores the answers to them."""
