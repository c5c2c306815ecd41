"""Before and after the cups: doses, tins, start times, harvests, experiments.

Pure: what is believed is handed in.
"""
