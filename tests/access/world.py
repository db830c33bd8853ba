"""One group with something of every kind in it, and everybody who may stand at its doors.

Beside ann, ben, cat, dan and eve (tests/build.py): sue is a scorer, kim keeps the guest gus, fay left, rex was removed,
staff has an account without a player. Every private word of ann's is a canary: it may stand in nobody else's answers.
"""

from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction
from django.test import Client
from django.utils import timezone

from league.exchange import shots_csv
from league.models import Card, CardLine, CardMark, Membership, Player, Role, Round, SignIn, Tee, Token
from league.reports.plans import material_for
from league.rules.described import Described
from league.services import card_lines, card_marks, cards, carries, members, plans, shots, tokens
from league.services.barriers import set_barrier
from league.services.courses import CourseFacts, create_course
from league.services.descriptions import Description, describe_hole
from league.services.rounds import HoleFacts, RoundFacts, post_round
from league.web.card_marks import page_device
from tests import build
from tests.access.journal_world import build_journal

NOBODY = "nobody"
PEOPLE = ("ann", "ben", "dan", "sue", "kim", "fay", "rex", "cat", "staff")
TOKENS = ("read", "write", "over", "ended")
"""Tokens of ann's: with the scope read, with both scopes, withdrawn, past their last day."""
EVERYBODY = (*PEOPLE, *TOKENS, NOBODY)
KEY = "a-key-of-more-than-sixteen"

HIDDEN_BARRIER = 97
OWN_COURSE = "Canary Garden Course"


def canaries(name: str) -> dict[str, str]:
    """What stands on this player's cards for nobody but who keeps them; the ref for nobody but its writer."""
    return {"note": f"canary-note-{name}", "ref": f"canary-ref-{name}", "marker": f"Canary Marker {name}"}


@dataclass
class World:
    people: build.People
    clients: dict[str, Client]
    ids: dict[str, str] = field(default_factory=dict)
    """By name: rounds, tees, memberships, whatever an address may hold."""
    email: str = ""
    course_file: dict[str, Any] = field(default_factory=dict)

    def client(self, person: str) -> Client:
        """A browser or program that starts as this person stands, whatever an earlier answer did to its cookies."""
        made = Client(raise_request_exception=False, **self.clients[person].defaults)
        # The service's own layers, which keep nothing of anybody, are set up once.
        made.handler = self.clients[person].handler
        made.cookies.load(self.clients[person].cookies.output(header="", sep="\n"))
        return made


@contextmanager
def taken_back():
    """What happens inside leaves no trace in the database."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def build_world() -> World:
    people = build.people()
    group = people.group
    sue, kim, fay, rex = (build.player(name) for name in ("Sue", "Kim", "Fay", "Rex"))
    gus = build.player("Gus", has_account=False)
    build.membership(group, sue, Role.SCORER)
    for mate in (kim, fay, rex):
        build.membership(group, mate)
    build.membership(group, gus, Role.GUEST, keeper=kim)
    staff = build.account("staff@example.org")
    staff.is_staff = True
    staff.save()
    everybody = {"ann": people.ann, "ben": people.ben, "dan": people.dan, "cat": people.cat}
    everybody |= {"sue": sue, "kim": kim, "fay": fay, "rex": rex}
    clients = {name: build.signed_in(player) for name, player in everybody.items()}
    clients["staff"] = Client(raise_request_exception=False)
    clients["staff"].force_login(staff, backend="django.contrib.auth.backends.ModelBackend")
    clients[NOBODY] = Client(raise_request_exception=False)
    world = World(people, clients, email=people.ann.account.email)
    players = {**everybody, "eve": people.eve, "gus": gus}
    world.ids |= {name: str(player.pk) for name, player in players.items()}
    world.ids |= {"group": str(group.pk), "other group": str(people.other_group.pk)}
    _courses(world)
    _rounds(world, players)
    _barriers(world)
    _carry_book(world)
    build_journal(people, world.ids)
    _plan(world)
    _imports(world)
    _cards(world)
    _links_and_tokens(world)
    members.leave_group(membership=Membership.objects.get(group=group, player=fay))
    removed = Membership.objects.get(group=group, player=rex)
    members.remove_member(membership=removed, actor=people.ben, reason="No longer plays with us.")
    for place in Membership.objects.filter(group=group).select_related("player"):
        world.ids[f"place of {place.player.name.lower()}"] = str(place.pk)
    for name in (*PEOPLE, *TOKENS):
        clients[name].get("/api/v1/me/")
    world.course_file = clients["ann"].get(f"/api/v1/courses/{world.ids['course']}/file/").json()
    found = SignIn.objects.filter(account=people.ann.account).order_by("created_at")
    world.ids["sign-in"] = str(found[0].pk)
    return world


def _courses(world: World) -> None:
    people = world.people
    ours = build.course(people.group)
    hers = build.course(people.other_group, "Sedge Heath")
    own = create_course(actor=people.ann, group=None, facts=CourseFacts(name=OWN_COURSE))
    unplayed = build.course(people.group, "Plover Down")
    rows = {"course": ours, "other course": hers, "own course": own, "unplayed course": unplayed}
    rows |= {
        "tee": build.tee(ours),
        "unused tee": build.tee(ours, "Bittern", rated_for="men"),
        "own tee": build.tee(own),
    }
    rows |= {"other tee": build.tee(hers)}
    world.ids |= {name: str(row.pk) for name, row in rows.items()}
    for course in (ours, hers, own, unplayed):
        for name in ("Weir", "Sluice"):
            hole = Description(hole=Described(number=1, name=name), length_unit="yards")
            describe_hole(actor=people.ben, course=course, to=hole)


def _rounds(world: World, players: dict[str, Player]) -> None:
    tee = Tee.objects.get(pk=world.ids["tee"])
    own_tee = Tee.objects.get(pk=world.ids["own tee"])
    other_tee = Tee.objects.get(pk=world.ids["other tee"])
    for day in range(1, 5):
        for name in ("ann", "gus", "rex", "cat"):
            where = {"cat": other_tee, "ann": own_tee if day == 4 else tee}.get(name, tee)
            poster = players["kim"] if name == "gus" else players[name]
            played = post_round(player=players[name], facts=card(name, where, date(2026, 5, day)), posted_by=poster)
            world.ids[f"round of {name}"] = str(played.pk)
    world.ids["round of ann"] = str(Round.objects.filter(player=players["ann"], tee=tee).first().pk)


def card(name: str, tee: Tee, played_on: date) -> RoundFacts:
    holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + 3, putts=3, penalties=1) for hole in tee.holes.all())
    words = canaries(name)
    return RoundFacts(
        tee=tee, played_on=played_on, holes=holes, note=words["note"], ref=words["ref"], marker_name=words["marker"]
    )


def csv_of(name: str = "", day: int = 11, note: str = "") -> str:
    head = "player,played_on,course,tee,gross,note\n" if name else "played_on,course,tee,gross,note\n"
    return f"{head}{name + ',' if name else ''}2026-06-{day:02},Marsh Links,Heron,96,{note}\n"


def _barriers(world: World) -> None:
    ann = world.people.ann
    world.ids["barrier"] = str(set_barrier(player=ann, score=99).pk)
    world.ids["hidden barrier"] = str(set_barrier(player=ann, score=HIDDEN_BARRIER, is_hidden=True).pk)
    world.ids["ninety-nine"] = "99"


def _carry_book(world: World) -> None:
    ann = world.people.ann
    notes = {"from_rough": "canary-note-ann", "from_bare": "canary-note-ann"}
    carries.change_book(player=ann, facts=carries.BookFacts(length_unit="yards", **notes))
    club = carries.add_club(player=ann, facts=carries.ClubFacts(name="7 iron", kind="iron", carry=120))
    hit = carries.add_shots(club=club, shots=[carries.ShotFacts(carry=118, off_line=6)])
    taken = shots.import_shots(player=ann, reading=shots_csv.read(b"club,carry\n7 iron,117\n", wanted="yards"))
    world.ids["shot list"] = str(taken.batch)
    world.ids |= {"club": str(club.pk), "number of api-shot": str(hit[0].pk), "number of shot_remove": str(hit[0].pk)}


def _plan(world: World) -> None:
    ann, tee = world.people.ann, Tee.objects.get(pk=world.ids["tee"])
    facts = plans.PlanFacts(barrier=100, conditions={})
    material = material_for(ann, tee, 100, None, {})
    plan = plans.make_plan(player=ann, tee=tee, facts=facts, material=material)
    plans.change_hole(plan=plan, number=2, change=plans.HoleChange(note="canary-note-ann"))
    world.ids["plan"] = str(plan.pk)


def _imports(world: World) -> None:
    for name, steps in (
        ("ready", []),
        ("applied", ["apply"]),
        ("undone", ["apply", "undo"]),
        ("declined", ["decline"]),
    ):
        day = 11 + len(world.ids)
        answer = world.clients["ann"].post(
            "/api/v1/imports/", csv_of(day=day % 18 + 1, note="canary-note-ann"), "text/csv"
        )
        assert answer.status_code == 201, answer.content
        world.ids[f"{name} import"] = made = answer.json()[0]["id"]
        for step in steps:
            done = world.clients["ann"].post(f"/api/v1/imports/{made}/{step}/")
            assert done.status_code == 200, done.content
    address = f"/api/v1/imports/?group={world.ids['group']}"
    answer = world.clients["ben"].post(address, csv_of("Dan") + csv_of("Gus").splitlines()[1] + "\n", "text/csv")
    assert answer.status_code == 201, answer.content
    for made in answer.json():
        world.ids["waiting import" if made["waits_for"] else "group import"] = made["id"]


def _cards(world: World) -> None:
    """One that ann scores, open, with a hole of hers contested; one that she sent in, where dan's line waits."""
    people = world.people
    tee = Tee.objects.get(pk=world.ids["tee"])
    opened = opened_card(people.ann, tee, people.ann, people.dan, people.eve)
    mine, dans, _ = opened.lines.all()
    for line in (mine, dans):
        device = page_device(people.ann)
        card_marks.write_marks(card=opened, writer=people.ann, device=device, marks=marks_of(line))
    other = card_marks.Written(client_id=UUID(int=77), line=mine.pk, number=1, value={"strokes": 9, "penalties": 2})
    card_marks.write_marks(card=opened, writer=people.dan, device=UUID(int=2), marks=[other])
    own = CardMark.objects.get(line=dans, number=18)
    world.ids |= {"card": str(opened.pk), "own mark": str(own.client_id)}
    world.ids |= {"line of ann": str(mine.pk), "line of dan": str(dans.pk)}
    sent = opened_card(people.ann, tee, people.dan)
    waiting = sent.lines.get()
    card_marks.write_marks(card=sent, writer=people.ann, device=DEVICE, marks=marks_of(waiting))
    card_lines.send_card(card=sent, sender=people.ann, sending=card_lines.Sending())
    world.ids |= {"sent card": str(sent.pk), "waiting line": str(waiting.pk), "contested mark": str(other.client_id)}


DEVICE = UUID(int=1)


def opened_card(scorer: Player, tee: Tee, *players: Player) -> Card:
    opening = cards.Opening(
        client_id=uuid4(),
        tee=tee,
        tee_version=tee.version,
        holes_in_play="18",
        played_on=date(2026, 5, 20),
        players=players,
    )
    return cards.open_card(opener=scorer, opening=opening)


def marks_of(line: CardLine) -> list[card_marks.Written]:
    value = {"strokes": 6, "putts": 2}
    return [card_marks.Written(client_id=uuid4(), line=line.pk, number=number, value=value) for number in range(1, 19)]


def _links_and_tokens(world: World) -> None:
    people = world.people
    for name in ("open", "withdrawn", "late", "used"):
        made, value = members.make_invitation(group=people.group, actor=people.ben, label=f"for {name}")
        world.ids |= {f"{name} invitation": str(made.pk), f"{name} link": value}
        if name == "withdrawn":
            members.withdraw_invitation(invitation=made, actor=people.ben)
        if name == "late":
            made.ends_at = timezone.now() - timedelta(days=1)
        made.uses_left = 0 if name == "used" else 1
        made.save()
    for name in TOKENS:
        scopes = ["read"] if name == "read" else ["read", "write"]
        token, value = tokens.make_token(account=people.ann.account, name=name, scopes=scopes, days=7)
        if name == "over":
            tokens.withdraw_token(token=token)
        if name == "ended":
            Token.objects.filter(pk=token.pk).update(ends_at=timezone.now() - timedelta(days=1))
        world.clients[name] = Client(raise_request_exception=False, headers={"Authorization": f"Bearer {value}"})
        world.ids[f"{name} token"] = str(token.pk)
