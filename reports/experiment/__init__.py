"""What people read of an experiment: a sentence for children, one for a report, a plot of the cups."""
