"""Chrysalides in hand: the club's register, the outlook of each, the winter store, the food for the next brood."""
