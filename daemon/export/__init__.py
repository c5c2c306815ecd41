"""What leaves the station for people's own programs: tables, a batch for a lesson, a calendar."""
