"""What people did, as statements of an open standard: building them, and holding them to the standard's rules.

Source: ADL, Experience API 1.0.3, Part Two (xAPI-Data.md).
"""
