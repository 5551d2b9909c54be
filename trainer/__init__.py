"""A trainer and competency system for people who overhaul gas pressure-reducing equipment."""
