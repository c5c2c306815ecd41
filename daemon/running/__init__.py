"""Real time: a station at work, from its file to its end; its file that changes, its disk that fails."""
