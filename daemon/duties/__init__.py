"""What the station does at a beat and at a job: here beliefs, store, alarms and reports meet."""
