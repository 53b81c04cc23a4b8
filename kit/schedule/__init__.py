"""Schedules: percent against interval as a map, and plans side by side.

`grid` is the long run for many habits at once, `trial` what is asked of a fitted tank,
`map` the plans of percent and interval, `shortlist` a few everyday plans compared.
"""
