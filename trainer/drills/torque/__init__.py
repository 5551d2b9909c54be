"""What can be asked about tightening a fastener: figures, pattern, castle nut; one file each, all alike.

Each has `offered(fastener, size)`, `make`, `key` and `mark`, which take the setting and the fastener.
"""
