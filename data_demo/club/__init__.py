"""The invented club: its tanks, their water, and how its keepers write it down."""
