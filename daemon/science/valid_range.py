"""The one way in which a formula refuses what lies outside its range."""


class OutOfRange(ValueError):
    """A formula was asked for something outside the range it is known for.

    Carries `what`, the `value` found and the limits `low` and `high` in `unit`; the message says all.
    """

    def __init__(self, what: str, value: float, low: float, high: float, unit: str) -> None:
        gap = f" {unit}" if unit else ""
        super().__init__(f"{what} is {value:g}{gap}; allowed is {low:g} to {high:g}{gap}")
        self.what = what
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit


def within(what: str, value: float, low: float, high: float, unit: str = "") -> float:
    """`value`, when it lies between `low` and `high` (both allowed), in `unit`.

    Raises OutOfRange otherwise; NaN lies in no range.
    """
    if low <= value <= high:
        return value
    raise OutOfRange(what, value, low, high, unit)
