"""The step of this page: from where it can be asked for, who may look, its address in letters."""

from werkzeug.datastructures import MultiDict

from daemon.page.setting_up import typed
from daemon.page.setting_up.under_way import UnderWay
from reports.page.setting_up import fields as words

_USUAL = {"listen": "loopback", "reading": "all"}


def shown(at: UnderWay, language: str, faults: list[tuple[str, str]]) -> dict[str, object]:
    """What the step's template is given."""
    table = at.text.table("page")
    usual = {**_USUAL, "listen": at.listen}
    values = {name: typed.shown(table.get(name, usual.get(name))) for name in words.PAGE}
    own = {path.removeprefix("page."): line for path, line in faults}
    return {
        "fields": words.fields(language, words.PAGE, values, own),
        "changes_socket": bool(table) and table.get("listen", _USUAL["listen"]) != at.listen,
    }


def taken(at: UnderWay, form: MultiDict[str, str]) -> None:
    """What was typed goes into the text."""
    table = at.text.table("page")
    values = {name: typed.line(text) for name, text in typed.fields_of(form, *words.PAGE).items()}
    usual = {**_USUAL, "listen": _USUAL["listen"] if at.listen == _USUAL["listen"] else ""}
    at.text.put(
        "page",
        {
            name: None if name not in table and value == usual.get(name) else value
            for name, value in values.items()
        },
    )
    if not at.text.table("page"):
        at.text.drop("page")
