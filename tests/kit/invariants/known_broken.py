"""The invariants that the product is known to break, each with the reason: to be emptied, not to grow.

A long test holds that each of them is still broken, so that a line goes with its fault.
"""

from collections.abc import Iterable, Mapping

KNOWN_BROKEN: dict[str, str] = {
    "all_well_asks_for_nothing": "nightly._findings knows nothing of what _to_do asks for",
    "well_means_level_and_salt_within_limits": "night.all_well looks at alarms, not at what is believed",
    "well_means_no_cold_is_about_to_come": "night.all_well looks at alarms, not at what is believed",
    "a_leave_letter_asks_against_the_cold_it_foresees": "leave._to_do knows water, lamp and feed only",
    "only_a_probe_of_water_stands_in_it": "probe_letter's caution whatever the probe measures",
    "well_means_no_alarm_stands": "an alarm that is put aside is in no letter",
    "well_means_within_limits": "nothing is watched without a batch; past limits stand only in the facts",
    "well_names_what_is_not_watched": "what is not watched is in no letter",
    "over_now_means_within_limits": "an alarm that sleeps or is put aside is told as over",
    "a_pour_ends_under_the_brim": "the nightly letter's fill looks at the day of the low mark only",
    "a_pour_keeps_the_salt": "no fill asks what it does to the salt",
    "an_amount_a_cup_is_that_of_a_cup": "sentences.pour_short: 'a cup' where any vessel has more than one",
    "no_pour_into_an_emptied_vessel": "a harvest of most of it leaves a batch that is short of water",
    "nobody_looks_whether_it_stands_at_the_mark_in_vain": "leave asks for it where nothing is to be poured",
    "take_out_only_from_above_the_mark": "fill_fails = brim where the p10 of a fill to the mark is over it",
    "words_fit_the_kind_of_vessel": "sentences say cups whatever the vessel is",
    "a_forecast_is_beyond_the_limit": "a standing forecast is not judged anew",
    "cold_or_hot_now_is_read_beyond_the_limit": "within the half degree of hysteresis it is told as beyond",
    "now_is_read_lately": "conversions.newest_value has no age",
    "a_lamp_is_off_only_in_its_hours": "a lamp alarm stays as it is outside its hours, and is told then",
    "lamp_hours_are_the_file_s": "spans are cut to now and to the return",
    "switch_off_only_what_is_lit": "hot asks for it where the vessel has a lamp, lit or not",
    "a_forecast_s_day_word_is_its_own": "warmth._night: up to nine in the morning it is night",
    "a_return_letter_comes_on_the_day_of_the_return": "morning_of_return: morning_at may be later",
    "before_you_go_is_said_before_they_go": "hot_ahead_letter says so at any hour with somebody in the room",
    "harvest_is_asked_for_once_it_is_open": "harvest._to_harvest: when they are back, though it opens later",
    "what_is_announced_comes": "next_letter_at: knows neither nightly = false nor the batches",
    "a_late_night_is_no_older_than_it_says": "a late night's record ends at the hour it was due",
    "an_outage_is_as_the_store_has_it": "a late night's record cuts the outage at the hour it was due",
    "figures_are_believed_at_the_writing": "a late night's record ends at the hour it was due",
    "no_figures_without_a_batch": "night_record keeps the day's estimates of a batch that ended",
    "nobody_was_there_means_no_deed": "the return letter asks the calendar only",
    "alarms_are_counted_by_what_failed": "nightly._alarms counts vessels' alarms",
    "nothing_goes_in_quiet_hours": "a forecast above 33 °C is urgent; a quiet time ends at night",
    "nothing_is_said_twice_to_an_empty_room": "a forecast above 33 °C is urgent",
    "not_again_within_a_day_without_a_change": "a standing alarm rings again",
    "what_comes_each_night_is_not_told_each_night": "each night's alarm is a new one",
    "beyond_since_is_most_of_the_time": "it stands until half a degree inside, and is told as unbroken",
    "one_alarm_one_letter": "a standing alarm rings again after a day",
    "one_unplanned_letter_a_day": "a forecast above 33 °C is in no budget",
    "three_planned_letters_a_week": "only feed gives way",
    "the_letter_about_it_was_sent": "nightly._to_do says so whatever was sent",
    "an_outage_delays_only_what_goes_on": "outage asks nothing of how far the hatch is",
    "cold_slows_a_hatch_that_goes_on": "cold.py asks p10 < 0.9; leave.py and ahead letters ask nothing",
    "nobody_is_asked_for_swimmers_that_were_seen": "the late hatch letter counts looks, but not first ones",
    "no_words_are_broken": "return_: 'about' before 'more than 99 %'",
    "a_probe_in_the_air_is_told_of": "no slow evidence",
    "beliefs_move_only_where_something_happened": "a float's last word is held while it is absent",
    "now_names_what_is_put_aside": "night_record lists active alarms only",
    "beliefs_are_possible": "salt below zero; a level above the rim",
}


def unknown(found: Mapping[str, Iterable[object]]) -> dict[str, list[str]]:
    """What was found of the other invariants, in words."""
    return {name: [str(one) for one in of] for name, of in found.items() if name not in KNOWN_BROKEN}
