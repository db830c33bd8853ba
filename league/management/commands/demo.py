import json
import secrets
import time
from argparse import ArgumentParser
from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from league.exchange import courses_json
from league.management.demo_cards import write_cards
from league.management.demo_carries import write_books
from league.management.demo_descriptions import correct_holes
from league.management.demo_journal import write_journal
from league.management.demo_plans import plan_rounds
from league.management.demo_season import Happening, Person, Play, Season
from league.models import Account, Course, Group, Membership, Player, Revision, Round, Tee
from league.services import barriers, courses, members, rounds
from league.services.rounds import HoleFacts, RoundFacts

FOLDER = settings.BASE / "fixtures" / "demo"


class Command(BaseCommand):
    help = "Loads the demo season: invented people, courses and eighteen months of cards. A second load adds nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--until", type=date.fromisoformat, help="the season ends on the last Saturday before this day; else today"
        )

    def handle(self, *args: object, until: date | None, **options: object) -> None:
        begun = time.monotonic()
        sign_ins = json.loads((FOLDER / "sign_ins.json").read_text(encoding="utf-8"))
        if Account.objects.filter(email__in=[entry["email"] for entry in sign_ins]).exists():
            self.stdout.write("The demo season is here already; nothing was added.")
            return
        season = Season(FOLDER / "season.json", until or date.today())
        today = timezone.now().astimezone(ZoneInfo(season.time_zone)).date()
        if season.last_saturday >= today:
            raise CommandError("The season would end in the future: give an earlier day with --until.")
        load(season, {entry["person"]: entry for entry in sign_ins})
        self.stdout.write(
            f"The demo season is loaded: {len(season.people)} people, {Course.objects.count()} courses, "
            f"{Round.objects.count()} rounds, {Revision.objects.count()} revisions, "
            f"in {time.monotonic() - begun:.0f} s. Everybody and every place in it is invented."
        )


@transaction.atomic
def load(season: Season, sign_ins: dict[str, dict[str, str]]) -> None:
    """All or nothing, which is why a command opens a transaction here: half a season would pass for a whole one."""
    loading = Loading(season, sign_ins)
    for group in season.groups:
        loading.found(group)
    loading.re_rate()
    plays = {person.key: list(season.plays(person)) for person in season.people}
    on_day: dict[date, list[str]] = defaultdict(list)
    for key, theirs in plays.items():
        for play in theirs:
            on_day[play.day].append(key)
    for person in season.people:
        loading.store(person, plays[person.key], on_day)
        loading.aim(person)
    write_books(season, loading.players)
    write_journal(loading.players)
    plan_rounds(loading.players, season.last_saturday + timedelta(days=7))
    write_cards(loading.players, season.last_saturday)


class Loading:
    """Puts the season into the database, through the services alone."""

    def __init__(self, season: Season, sign_ins: dict[str, dict[str, str]]) -> None:
        self.season = season
        self.sign_ins = sign_ins
        self.players: dict[str, Player] = {}
        self.tees: list[Tee] = []

    # People and places

    def found(self, plain: dict[str, Any]) -> None:
        """A group with its organiser, its courses, then everybody else in it."""
        organiser = next(person for person in self.season.people if person.key == plain["organiser"])
        email, password = self._credentials(organiser.key)
        account = members.sign_up_organiser(
            name=organiser.name,
            email=email,
            password=password,
            group_name=plain["name"],
            time_zone=self.season.time_zone,
        )
        actor = self.players[organiser.key] = account.player
        group = Membership.objects.get(player=actor).group
        for name in plain["courses"]:
            self._add_course(name, group, actor)
        for person in self.season.people:
            if plain["key"] in person.groups and person.key != organiser.key:
                self._add_person(person, group, actor)
        for person in self.season.people:
            if plain["key"] == person.groups[0]:
                self._choose_tee(person, actor)

    def _credentials(self, key: str) -> tuple[str, str]:
        """Address and password of those whose sign-in is printed; nobody can sign in as one of the others."""
        printed = self.sign_ins.get(key)
        if printed is None:
            return f"{key}@skerrin.example", secrets.token_urlsafe(32)
        return printed["email"], printed["password"]

    def _add_course(self, name: str, group: Group, actor: Player) -> None:
        reading = courses_json.read((FOLDER / "courses" / f"{name}.json").read_bytes())
        if reading.course is None:
            raise CommandError(f"The course file {name}.json cannot be read: {reading.problems}")
        facts = courses.CourseFacts(
            name=reading.course.name, place=reading.course.place, n_holes=reading.course.n_holes
        )
        held = reading.course
        made = courses.create_course(actor=actor, group=group, facts=facts, tees=held.tees, described=held.descriptions)
        correct_holes(made, actor, self.season.hole_corrections)
        self._read_tees()

    def _read_tees(self) -> None:
        mine = Tee.objects.filter(course__group__memberships__player__in=self.players.values()).distinct()
        self.tees = list(mine.select_related("course__group").prefetch_related("holes"))

    def _add_person(self, person: Person, group: Group, actor: Player) -> None:
        if not person.account:
            keeper = self.players[person.keeper] if person.keeper else actor
            place = members.add_player(
                group=group,
                actor=actor,
                name=person.name,
                role=person.role,
                rated_for=person.rated_for,
                keeper=keeper,
            )
            self.players[person.key] = place.player
            return
        invitation, _ = members.make_invitation(group=group, actor=actor, role=person.role, label=person.name)
        if person.key in self.players:
            members.accept_invitation(invitation=invitation, player=self.players[person.key])
            return
        email, password = self._credentials(person.key)
        account = members.join_as_new(
            invitation=invitation,
            name=person.name,
            email=email,
            password=password,
            rated_for=person.rated_for,
            hides_lines=person.hides_lines,
        )
        self.players[person.key] = account.player

    def _choose_tee(self, person: Person, actor: Player) -> None:
        player = self.players[person.key]
        course = next(iter(person.tees))
        changes = {"home_tee": self._versions(course, person)[-1], "rated_for": person.rated_for}
        self.players[person.key] = members.change_profile(
            player=player, actor=player if person.account else actor, changes=changes
        )

    def _versions(self, course: str, person: Person) -> list[Tee]:
        wanted = (course, person.tees[course], person.rated_for)
        return [tee for tee in self.tees if (tee.course.name, tee.name, tee.rated_for) == wanted]

    def re_rate(self) -> None:
        """Before any card, so that each is posted on the version of its day."""
        for plain in self.season.re_ratings:
            wanted = (plain["course"], plain["tee"], plain["rated_for"])
            tee = next(tee for tee in self.tees if (tee.course.name, tee.name, tee.rated_for) == wanted)
            to = replace(
                tee.as_printed(),
                valid_from=self.season.saturday(plain["week"]) - timedelta(days=4),
                course_rating=Decimal(plain["course_rating"]),
                slope_rating=plain["slope_rating"],
                front_course_rating=Decimal(plain["front"][0]),
                front_slope_rating=plain["front"][1],
                back_course_rating=Decimal(plain["back"][0]),
                back_slope_rating=plain["back"][1],
            )
            organiser = Membership.objects.get(group=tee.course.group, role="organiser").player
            courses.rerate_tee(actor=organiser, tee=tee, to=to)
        self._read_tees()

    # Cards

    def store(self, person: Person, plays: list[Play], on_day: dict[date, list[str]]) -> None:
        """All cards together in order of play, as from a file; then what came in late, and what was changed."""
        if not plays:
            return
        player = self.players[person.key]
        poster = player if person.account else self._keeper(player)
        facts = {play.day: self._facts(person, play, on_day) for play in plays}
        late = {play.day for play in plays if play.happening and play.happening.kind == "late"}
        in_time = [told for day, told in facts.items() if day not in late]
        stored = {
            played.played_on: played for played in rounds.post_rounds(player=player, many=in_time, posted_by=poster)
        }
        for day in sorted(late):
            stored[day] = rounds.post_round(player=player, facts=facts[day], posted_by=poster)
        for play in plays:
            played = stored[play.day]
            if play.happening and play.happening.kind in ("corrected", "withdrawn"):
                self._change(played, facts[play.day], play.happening, poster)
            elif played.marker and self.season.is_attested(person, play):
                rounds.attest_round(played=played, version=played.version, attested_by=played.marker)

    def aim(self, person: Person) -> None:
        for score in (*person.barriers, *person.hidden_barriers):
            hidden = score in person.hidden_barriers
            barriers.set_barrier(player=self.players[person.key], score=score, is_hidden=hidden)

    def _keeper(self, player: Player) -> Player | None:
        return Membership.objects.get(player=player).keeper

    def _facts(self, person: Person, play: Play, on_day: dict[date, list[str]]) -> RoundFacts:
        tee = next(tee for tee in self._versions(play.course, person) if tee.is_valid_on(play.day))
        beside = [key for key in on_day[play.day] if key != person.key and self.players[key].account_id]
        mates = [key for key in beside if self._share_a_group(key, person)]
        rng = self.season.rng(person.key, play.week, "marker")
        marker = self.players[rng.choice(mates)] if mates else None
        return self.season.facts(person, play, tee, marker)

    def _share_a_group(self, key: str, person: Person) -> bool:
        other = next(one for one in self.season.people if one.key == key)
        return bool(set(other.groups) & set(person.groups))

    def _change(self, played: Round, facts: RoundFacts, happening: Happening, actor: Player | None) -> None:
        if happening.kind == "withdrawn":
            rounds.withdraw_round(played=played, version=played.version, withdrawn_by=actor, reason=happening.reason)
            return
        holes = tuple(_with_more(hole, happening.by) if hole.number == happening.hole else hole for hole in facts.holes)
        rounds.correct_round(
            played=played,
            facts=replace(facts, holes=holes),
            version=played.version,
            corrected_by=actor,
            reason=happening.reason,
        )


def _with_more(hole: HoleFacts, by: int) -> HoleFacts:
    return replace(hole, strokes=(hole.strokes or 0) + by, penalties=(hole.penalties or 0) + by)
