"""The words of what leaves the station for people's own programs: a calendar, a batch for a lesson."""
