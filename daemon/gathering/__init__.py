"""The centre's side: boxes from many stations, by a broker, into PostgreSQL. No station imports it."""
