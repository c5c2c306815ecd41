"""What is attached, what it reads, whether to trust it, and its calibration: `naupliad probes`."""
