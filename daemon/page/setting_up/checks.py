"""The checks of a probe before it is trusted: a thermometer in ice water, a light probe under its lamp."""

from pathlib import Path
from typing import Any

from werkzeug.datastructures import MultiDict

from daemon.page.deeds.asking import NotDone, told
from daemon.page.setting_up.probes_found import plan_of
from daemon.page.setting_up.under_way import UnderWay
from reports.page.setting_up import probes as words

_KEYS = {"ice": ("offset_c",), "light": ("dark", "lit")}
_LOOKED_OVER_S = 60.0  # a store of years on a slow card takes its time
_OF_VESSELS = "low_light_lux"


def shown(at: UnderWay, language: str, check: str, probe_id: str) -> dict[str, object]:
    """What the check's template is given. Raises NotDone where no daemon answers."""
    answer = _so_far(at, check, probe_id)
    values: dict[str, object] = {"probe": probe_id, "kind": check, "check": answer}
    if answer["state"] == "other":
        return values
    if check == "light":
        take = words.take_light(language) if answer["keys"] else ""
        return {**values, "found": bool(answer["keys"]), "take": take, "again": "end"}
    so_far = words.ice_now(language, answer["now_c"], answer["after_s"], answer["steady"], at.unit)
    take = words.correct_by(language, answer["offset_c"] if answer["needs_change"] else None, at.unit)
    found = answer["offset_c"] is not None
    return {**values, "so_far": so_far, "found": found, "take": take, "again": "begin"}


def _so_far(at: UnderWay, check: str, probe_id: str) -> dict[str, Any]:
    """How far the check is; another probe's is none of ours. Raises NotDone where no daemon answers."""
    answer = told(at.state, {"ask": check, "do": "look"})
    if answer.get("probe") not in (None, probe_id):
        return {"state": "other", "probe": answer["probe"]}
    return answer


def do(at: UnderWay, check: str, probe_id: str, form: MultiDict[str, str]) -> bool:
    """What the form asks for; whether what was found is now in the text. Raises NotDone as `shown`."""
    wanted = form.get("do", "")
    plan = plan_of(at, probe_id)
    if plan is None:
        return False
    if wanted == "take":
        return _take(at, check, probe_id, plan[0])
    if wanted == "end":
        told(at.state, {"ask": check, "do": "end"})
    elif wanted in ("begin", "off", "on"):
        told(at.state, {"ask": check, "do": wanted, **plan[1]})
    return False


def _take(at: UnderWay, check: str, probe_id: str, place: int) -> bool:
    answer = told(at.state, {"ask": check, "do": "look"})
    if answer.get("probe") != probe_id or answer.get("state") != "over":
        raise NotDone("", "check: found none that is over; allowed: one that has found something")
    found = {"offset_c": answer.get("offset_c")} if check == "ice" else answer.get("keys", {})
    own = {key: value for key, value in found.items() if key in _KEYS[check] and value is not None}
    if own:
        at.text.put_entry("probe", place - 1, own)
    if _OF_VESSELS in found:
        for number, vessel in enumerate(at.text.entries("vessel")):
            if probe_id in (vessel.get("probes") or ()):
                at.text.put_entry("vessel", number, {_OF_VESSELS: found[_OF_VESSELS]})
                own[_OF_VESSELS] = found[_OF_VESSELS]
    at.keep()
    told(at.state, {"ask": check, "do": "end"})
    return bool(own)


def found(state: Path) -> list[dict[str, str]]:
    """What a checkup finds now: of each thing its grade, its name, how it is, what to do. Raises NotDone."""
    return [dict(one) for one in told(state, {"ask": "checkup"}, _LOOKED_OVER_S)["findings"]]
