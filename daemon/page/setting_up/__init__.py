"""The guided set-up: a station file asked for step by step, checked as any other, and kept by the daemon."""
