"""How each address is asked in the name of each person: what stands in the address, and a body that is in order."""

import json
from functools import cache
from typing import Any

from django.http import HttpResponse
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from league.web.description_forms import seal_of
from tests import build
from tests.access.world import World, csv_of

METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE")
INVENTED = "11111111-1111-4111-8111-111111111111"
PUBLIC = {
    *("health", "api", "api_noun", "api-schema", "problems", "problem", "home"),
    *("sign_up", "sign_in", "sign_out", "reset", "reset_sent", "reset_password", "join", "guardian"),
    *("card_worker", "card_manifest"),
}
"""Pages that answer without a sign-in. Every other answers 401 then."""

ARGUMENTS: dict[str, dict[str, str]] = {
    "group_id": {"": "group"},
    "membership_id": {
        "": "place of gus",
        "ann's own": "place of ann",
        "dan's": "place of dan",
        "ended": "place of rex",
    },
    "player_id": {"": "ann", "gus": "gus", "cat": "cat", "rex": "rex"},
    "round_id": {"": "round of ann", "gus": "round of gus", "cat": "round of cat", "rex": "round of rex"},
    "course_id": {"": "course", "unplayed": "unplayed course", "ann's own": "own course", "cat's": "other course"},
    "tee_id": {"": "tee", "unused": "unused tee", "ann's own": "own tee", "cat's": "other tee"},
    "import_id": {
        "": "ready import",
        "applied": "applied import",
        "undone": "undone import",
        "declined": "declined import",
        "ben's": "group import",
        "waiting for dan": "waiting import",
    },
    "invitation_id": {"": "open invitation", "withdrawn": "withdrawn invitation"},
    "token_id": {"": "read token", "withdrawn": "over token"},
    "sign_in_id": {"": "sign-in"},
    "club_id": {"": "club"},
    "reset_id": {"": "reset"},
    "list_id": {"": "shot list"},
    "decision_link": {"": "guardian link"},
    "intention_id": {"": "intention"},
    "look_back_id": {"": "look-back", "draft": "draft"},
    "plan_id": {"": "plan"},
    "barrier_id": {"": "barrier", "hidden": "hidden barrier"},
    "card_id": {"": "card", "sent": "sent card"},
    "line_id": {"": "line of dan", "sent": "waiting line"},
}
"""For each name in an address, the rows it is tried with; the first without a word, the others under their own."""

OTHER: dict[str, Any] = {"number": 1, "version": 1, "slug": "not-found", "noun": "rounds"}
LINKS = {"": "open link", "withdrawn": "withdrawn link", "late": "late link", "used": "used link"}
ASKED: dict[str, dict[str, str]] = {
    "rounds": {"of ann": "player=ann", "of gus": "player=gus", "of cat": "player=cat"},
    "rounds_file": {"of ann": "player=ann", "of gus": "player=gus", "of cat": "player=cat"},
    "round_new": {"of ann": "player=ann", "of gus": "player=gus", "on her tee": "tee=own tee"},
    "tee_new": {"as ann's own": "copy=own tee"},
    "api-imports": {"of the group": "group=group", "of ann": "player=ann", "of gus": "player=gus"},
    "api-courses": {"of the group": "group=group"},
    "api-course-import": {"of the group": "group=group"},
    "api-rounds": {"of ann": "player=ann"},
    "api-judgement": {"of the group": "group=group"},
    "numbers": {"of the group": "group=group"},
}
"""Addresses that are tried with a row in their query too."""
ALWAYS_ASKED = {
    "api-next-time": "tee=tee",
    "api-outlook": "tee=tee",
    "api-progress": "tee=tee",
    "api-ladder": "barrier=ninety-nine",
    "api-journal-range": "tee=tee",
    "api-tee-budget": "barrier=ninety-nine",
}


@cache
def routes() -> dict[str, tuple[str, ...]]:
    """Every address of the service: its name and the names of what stands in it."""
    return _routes(get_resolver().url_patterns, ())


def _routes(patterns: list[URLPattern | URLResolver], names: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for pattern in patterns:
        inside = (*names, *pattern.pattern.regex.groupindex)
        if isinstance(pattern, URLResolver):
            found |= _routes(pattern.url_patterns, inside)
        else:
            assert isinstance(pattern, URLPattern)
            assert pattern.name, f"{pattern.pattern} has no name"
            assert pattern.name not in found, f"{pattern.name} stands for two addresses"
            found[pattern.name] = inside
    return found


def labels(name: str, arguments: tuple[str, ...]) -> list[str]:
    """Under which words a route is tried, one for each row that may stand in it."""
    rows = LINKS if name == "join" else ARGUMENTS.get(arguments[0], {"": ""}) if arguments else {"": ""}
    return [*rows, *ASKED.get(name, {})]


def address_of(world: World, name: str, label: str = "", *, instead: str = "") -> str:
    """The address as it is tried; with `instead` that id stands in it, and not the row's."""
    if name == "api-unknown":
        return f"/api/v1/nowhere/{instead}"
    if name == "reset_password":
        return reverse(name, args=["MQ", instead or "set-password"])
    arguments = routes()[name]
    query = ASKED.get(name, {}).get(label) or ALWAYS_ASKED.get(name, "")
    row = "" if query and name in ASKED else label
    given = {
        argument: world.ids.get(f"{argument} of {name}", OTHER[argument]) for argument in arguments if argument in OTHER
    }
    for argument in arguments:
        if argument not in OTHER:
            rows = LINKS if name == "join" else ARGUMENTS[argument]
            given[argument] = instead or world.ids[rows[row]]
    key, _, value = query.partition("=")
    return reverse(name, kwargs=given) + (f"?{key}={world.ids[value]}" if query else "")


HOLES = "hole,what,from,side\n3,bunker,150,left"


def tee_sent(**changes: Any) -> dict[str, Any]:
    holes = [{"par": par, "stroke_index": index} for par, index in zip(build.PARS, build.STROKE_INDEXES, strict=True)]
    whole = {"name": "Dipper", "rated_for": "women", "course_rating": 71.4, "slope_rating": 124, "holes": holes}
    return {**whole, **changes}


def tee_typed(**changes: Any) -> dict[str, Any]:
    typed = {"name": "Dipper", "rated_for": "men", "course_rating": "71.4", "slope_rating": 124, "length_unit": "yards"}
    for number, (par, index) in enumerate(zip(build.PARS, build.STROKE_INDEXES, strict=True), 1):
        typed |= {f"par_{number}": par, f"stroke_index_{number}": index}
    return {**typed, **changes}


def sent(world: World) -> dict[tuple[str, str], Any]:
    """A body in order for every writing method of the API, by the name of the route."""
    password = {"password": build.PASSWORD}
    tee = world.ids["tee"]
    return {
        ("api-me", "PATCH"): {"theme": "dark"},
        ("api-tokens", "POST"): {**password, "name": "phone", "scopes": ["read"], "days": 7},
        ("api-export", "POST"): password,
        ("api-erasure", "POST"): password,
        ("api-groups", "POST"): {"name": "Snipe Sunday Group", "time_zone": "Europe/London"},
        ("api-group", "PATCH"): {"name": "Snipe Sunday Group", "time_zone": "Europe/London"},
        ("api-members", "POST"): {"name": "Una", "role": "guest"},
        ("api-invitations", "POST"): {"uses": 2},
        ("api-member", "PATCH"): {"role": "player"},
        ("api-member", "DELETE"): {"reason": "Moved away."},
        ("api-join", "POST"): {"link": world.ids["open link"]},
        ("api-player", "PATCH"): {"rated_for": "men"},
        ("api-courses", "POST"): {"name": "Reed Marsh"},
        ("api-course-import", "POST"): world.course_file,
        ("api-read-holes", "POST"): {"table": "hole\tpar\tstroke index\n1\t4\t1\n"},
        ("api-course", "PATCH"): {"place": "Saltby"},
        ("api-course-tees", "POST"): tee_sent(),
        ("api-holes-table", "POST"): {
            "table": "hole,what,from,side\n3,bunker,150,left\n",
            "length_unit": "yards",
            "apply": True,
        },
        ("api-hole", "PUT"): {"length_unit": "yards", "name": "Sluice", "green_depth": 28},
        ("api-tee", "PATCH"): {"name": "Ousel"},
        ("api-tee-versions", "POST"): {"valid_from": "2026-06-01", "slope_rating": 120},
        ("api-carry-book", "PUT"): {"length_unit": "metres", "liked_distance": 90},
        ("api-clubs", "POST"): {"name": "9 iron", "kind": "iron", "carry": 110},
        ("api-starter-set", "POST"): {"drive": 180},
        ("api-club", "PATCH"): {"carry": 125},
        ("api-club-shots", "POST"): {"shots": [{"carry": 121, "off_line": -4}]},
        ("api-shots-table", "POST"): {"table": "club,carry\n7 iron,119\n", "apply": True},
        ("api-plans", "POST"): {"tee": tee, "barrier": 100},
        ("api-plan-anew", "POST"): {"barrier": 99},
        ("api-plan-hole", "PATCH"): {"personal_par": 6},
        ("api-plan-kept", "PUT"): {"round": world.ids["round of ann"], "holes": [{"number": 1, "is_kept": True}]},
        ("api-barriers", "POST"): {"score": 89},
        ("api-barrier", "PATCH"): {"hidden": True},
        ("api-journal-routine", "PATCH"): {"sentence": "Back to the target.", "breaths": 2},
        ("api-journal-intentions", "POST"): {"played_on": "2026-07-01", "goal": "Speed first.", "tee": None},
        ("api-journal-intention", "PATCH"): {"goal": "Speed first."},
        ("api-journal-look-backs", "POST"): {"round": world.ids["round of ann"]},
        ("api-journal-look-back", "PATCH"): {"keep": "Speed."},
        ("api-journal-search", "POST"): {"words": "speed"},
        ("api-journal-share", "POST"): {"group": world.ids["group"], "readers": [world.ids["dan"]]},
        ("api-journal-erasure", "POST"): password,
        ("api-journal-resets", "POST"): {"client_id": INVENTED, "hole": 3},
        ("api-cards", "POST"): {
            "client_id": INVENTED,
            "tee": tee,
            "holes_in_play": "18",
            "played_on": "2026-07-01",
            "players": [world.ids["ann"]],
        },
        ("api-card", "PATCH"): {"played_on": "2026-05-21"},
        ("api-card-marks", "POST"): {
            "device": INVENTED,
            "marks": [{"client_id": INVENTED, "line": world.ids["line of dan"], "number": 3, "value": {"strokes": 4}}],
        },
        ("api-card-settlements", "POST"): {
            "line": world.ids["line of ann"],
            "number": 1,
            "mark": world.ids["contested mark"],
        },
        ("api-card-send", "POST"): {},
        ("api-card-answer", "POST"): {"answer": "post"},
        ("api-rounds", "POST"): {"tee": tee, "played_on": "2026-07-01", "gross": 95},
        ("api-round", "PATCH"): {"note": "Wind."},
        ("api-round", "DELETE"): {"reason": "Not mine."},
        ("api-round-attestation", "POST"): {},
    }


def typed(world: World) -> dict[str, dict[str, Any]]:
    """A form in order for every page that takes one, by the name of the route."""
    group = {"name": "Snipe Sunday Group", "time_zone": "Europe/London"}
    words = {"password": build.PASSWORD}
    card = {f"h{number}": 5 for number in range(1, 19)}
    new = {"name": "Una", "email": "una@example.org", "password": "reeds by the water", "rated_for": "men"}
    return {
        "sign_up": {
            "name": "Una",
            "email": new["email"],
            "password": new["password"],
            "group_name": "Teal Group",
            "time_zone": "Europe/London",
        },
        "sign_in": {"email": world.email, **words},
        "reset": {"email": world.email},
        "join": {**new, "length_unit": "yards"},
        "invitation_new": {"role": "player", "uses": 1, "days": 7},
        "group_new": group,
        "group_change": {**group, "version": "1"},
        "person_new": {"name": "Una", "role": "guest", "rated_for": "men"},
        "member": {"role": "player", "version": 1},
        "member_profile": {"name": "Gus", "rated_for": "men"},
        "member_remove": {"reason": "Moved away."},
        "course_new": {"name": "Reed Marsh", "n_holes": 18, "whose": ""},
        "course_change": {"name": "Reed Marsh", "n_holes": 18, "version": 1},
        "hole_change": {
            "length_unit": "yards",
            "name": "Sluice",
            "trouble_0_kind": "bunker",
            "trouble_0_side": "left",
            "trouble_0_begins": "150",
        },
        "holes_table": {"table": HOLES, "length_unit": "yards", "seen": seal_of(HOLES, "", "yards"), "apply": "yes"},
        "tee_new": tee_typed(),
        "tee_change": tee_typed(version=1),
        "tee_rerate": tee_typed(version=1, valid_from="2026-06-01"),
        "settings": {"name": "Ann", "length_unit": "yards", "rated_for": "women", "theme": "dark"},
        "index_only": {"hides_lines": "yes"},
        "settings_password": {**words, "new_password": "reeds by the water"},
        "settings_email": {"email": "new@example.org", **words},
        "token_new": {"name": "phone", "scope": "read", "days": 7, **words},
        "archive": words,
        "erase": words,
        "plan_new": {"tee": world.ids["tee"], "barrier": "100", "wind_speed": "light", "ahead": "1, 3-5"},
        "plan_hole": {"personal_par": "6", "stance": "protect", "version": "2"},
        "plan_anew": {"barrier": "99", "version": "2"},
        "plan_kept": {"round": world.ids["round of ann"], "h1": "yes", "h2": "no", "version": "2"},
        "barrier_new": {"score": 89},
        "carry_book_change": {"liked_distance": "90", "from_rough": "One club more."},
        "carry_book_unit": {"length_unit": "metres"},
        "starter_set": {"drive": "200"},
        "club_new": {"name": "9 iron", "kind": "iron", "carry": "110"},
        "club_change": {"name": "7 iron", "kind": "iron", "carry": "125", "version": 1},
        "shot_new": {"carry": "121", "off_line": "4 L", "hit_on": "2026-05-01"},
        "shots": {"text": "club,carry\n7 iron,119\n", "whole": "yes", "store": "yes"},
        "journal": {"words": "speed"},
        "intention_new": {"played_on": "2026-07-01", "goal": "Speed first."},
        "intention": {"played_on": "2026-07-01", "goal": "Speed first.", "version": 1},
        "journal_reset": {"client_id": INVENTED, "hole": 3},
        "journal_reset_drop": {},
        "look_back": {"act": "finish", "keep": "Speed."},
        "journal_share": {"readers": [world.ids.get("dan", "")], "group": world.ids.get("group", "")},
        "journal_settings": {"sentence": "Back to the target.", "breaths": 2},
        "journal_export": words,
        "journal_erase": words,
        "guardian_ask": {**words, "guardian_email": "parent@example.org"},
        "guardian": {"answer": "yes"},
        "card_open": {
            "tee": world.ids["tee"],
            "holes_in_play": "18",
            "played_on": "2026-07-01",
            "players": [world.ids["ann"]],
        },
        "card_page": {"hole": "3", "strokes_1": "5"},
        "card_settle": {"place": "1", "hole": "1", "mark": world.ids["contested mark"]},
        "card_send": {"not_played_reason": ""},
        "card_answer": {"answer": "post", "not_played_reason": ""},
        "card_change": {
            "version": 4,
            "tee": world.ids["tee"],
            "played_on": "2026-05-21",
            "order_in_day": 1,
            "players": [world.ids["ann"], world.ids["dan"], world.ids["eve"]],
        },
        "card_drop": {"version": 4},
        "card_take_back": {"mark": world.ids["own mark"], "hole": "18"},
        "round_new": {"tee": world.ids["tee"], "played_on": "2026-07-01", "confirmed": "on", **card},
        "round_correct": {"played_on": "2026-05-01", "version": 1, "confirmed": "on", **card},
        "round_withdraw": {"version": 1, "reason": "Not mine."},
        "round_attest": {"version": 1},
    }


def ask(
    world: World, person: str, method: str, name: str, address: str, body: Any = None, **headers: str
) -> HttpResponse:
    """In this person's name. Without a body the one that is in order."""
    client = world.client(person)
    if name.startswith("api-"):
        content_type = "application/json"
        if name == "api-imports" and method == "POST":
            who = "Gus" if "group=" in address else ""
            content_type, body = "text/csv", csv_of(who, day=30) if body is None else body
        elif body is None:
            body = sent(world).get((name, method))
        headers = {"If-Match": "*", **headers}
        return client.generic(method, address, "" if body is None else encoded(body), content_type, headers=headers)
    if method == "POST":
        return client.post(address, typed(world).get(name, {}) if body is None else body, headers=headers)
    return client.generic(method, address, headers=headers)


def encoded(body: Any) -> str | bytes:
    return body if isinstance(body, (str, bytes)) else json.dumps(body)
