"""The disk that the station's store stands on, from the first fault to the day it is well again."""
