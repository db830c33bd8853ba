"""Rounds over the API: post, read, correct, withdraw, attest."""

from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404
from django.urls import URLPattern, URLResolver, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from league import access
from league.access import Relation, Seen
from league.api import fields, paging
from league.api.base import Answer, Endpoint, tagged
from league.api.errors import FieldError, Problem, invalid
from league.models import HolesInPlay, NotPlayedReason, Player, Round, RoundState, Tee
from league.reports.rounds import RoundCard, round_card, round_cards, with_cards
from league.rules.errors import RuleBroken
from league.rules.rounding import as_decimal
from league.services import rounds
from league.services.errors import Stale
from league.services.rounds import HoleFacts, RoundFacts


class HoleIn(fields.Strict):
    number = fields.Whole(1, 18)
    strokes = fields.Whole(-999, 999, required=False, allow_null=True, help_text="Penalty strokes included.")
    picked_up = fields.Flag(required=False)
    putts = fields.Whole(0, 99, required=False, allow_null=True)
    penalties = fields.Whole(0, 99, required=False, allow_null=True)
    first_putt_beyond_20ft = fields.Flag(required=False, allow_null=True)
    strokes_from_60 = fields.Whole(
        0, 99, required=False, allow_null=True, help_text="Strokes from inside about 60 yards, putts included."
    )
    recovery = fields.Flag(required=False, allow_null=True, help_text="A shot only brought the ball back into play.")


class RoundIn(fields.Strict):
    """A card hole by hole (`holes`, without those not played) or a total (`gross`, with `adjusted_gross` if known)."""

    player = fields.Id(required=False, help_text="Left out: yourself.")
    tee = fields.Id()
    played_on = fields.Day()
    order_in_day = fields.Whole(1, 9, required=False)
    holes_in_play = fields.Choice(HolesInPlay, required=False)
    holes = fields.Many(child=HoleIn(), required=False)
    gross = fields.Whole(1, 450, required=False, allow_null=True)
    adjusted_gross = fields.Whole(1, 450, required=False, allow_null=True)
    playing_conditions = fields.Whole(-1, 3, required=False)
    playing_conditions_from = fields.Text(120, required=False, allow_blank=True)
    not_played_reason = fields.Choice(["", *NotPlayedReason.values], required=False)
    marker = fields.Id(required=False, allow_null=True)
    marker_name = fields.Text(80, required=False, allow_blank=True)
    note = fields.Text(500, lines=True, required=False, allow_blank=True)
    ref = fields.Text(64, required=False, allow_blank=True, help_text="A text of your own, given back to you.")


class CorrectionIn(RoundIn):
    player = None  # type: ignore[assignment]
    ref = None  # type: ignore[assignment]
    reason = fields.Text(500, required=False, allow_blank=True)


class ReasonIn(fields.Strict):
    reason = fields.Text(500, required=False, allow_blank=True)


class AttestationIn(fields.Strict):
    on_paper = fields.Flag(required=False, help_text="Organisers: checked on a paper card.")


class NamedOut(serializers.Serializer[Any]):
    id = fields.Id()
    name = fields.Text(80)


class TeeShortOut(serializers.Serializer[Any]):
    id = fields.Id()
    name = fields.Text(40)
    rated_for = fields.Text(5)
    course = NamedOut()


class HoleOut(serializers.Serializer[Any]):
    number = fields.Whole(1, 18)
    par = fields.Whole(3, 6)
    stroke_index = fields.Whole(1, 18)
    length = fields.Whole(1, 999, allow_null=True)
    received = fields.Whole(-9, 9, help_text="Strokes received, from the full course handicap.")
    cap = fields.Whole(1, 99, help_text="Net double bogey, or par + 5 without an index.")
    played = fields.Flag()
    strokes = fields.Whole(1, 99, allow_null=True)
    picked_up = fields.Flag()
    counted = fields.Whole(1, 99, allow_null=True)
    putts = fields.Whole(0, 99, allow_null=True)
    penalties = fields.Whole(0, 99, allow_null=True)
    first_putt_beyond_20ft = fields.Flag(allow_null=True)
    strokes_from_60 = fields.Whole(0, 99, allow_null=True)
    recovery = fields.Flag(allow_null=True)


class NoteOut(serializers.Serializer[Any]):
    code = fields.Text(40)
    message = fields.Text(200)


class AttestationOut(serializers.Serializer[Any]):
    by = NamedOut(allow_null=True)
    at = serializers.DateTimeField()
    on_paper = fields.Flag()


class LineOut(serializers.Serializer[Any]):
    """What a group mate may see of a round."""

    id = fields.Id()
    official = fields.Flag(help_text="Always false: no authorised body issued this.")
    player = NamedOut()
    tee = TeeShortOut()
    played_on = fields.Day()
    order_in_day = fields.Whole(1, 9)
    holes_in_play = fields.Text(5)
    n_holes = fields.Whole(9, 18)
    gross = fields.Whole(1, 450, allow_null=True)
    adjusted_gross = fields.Whole(1, 450, allow_null=True)
    differential = fields.Tenths(allow_null=True)
    estimated = fields.Flag()
    attestation = AttestationOut(allow_null=True)
    state = fields.Text(9)
    complete = fields.Flag()
    version = fields.Whole(1, 99999)


class RoundOut(LineOut):
    no_differential_reason = fields.Text(200)
    par = fields.Whole(27, 80)
    course_handicap = fields.Whole(-99, 99, allow_null=True)
    index_in_force = fields.Tenths(allow_null=True)
    index_before = fields.Tenths(allow_null=True)
    index_after = fields.Tenths(allow_null=True)
    revision = fields.Whole(1, 999999, allow_null=True)
    holes = HoleOut(many=True)
    playing_conditions = fields.Whole(-1, 3)
    playing_conditions_from = fields.Text(120)
    not_played_reason = fields.Text(8)
    marker = NamedOut(allow_null=True)
    marker_name = fields.Text(80)
    note = fields.Text(500)
    notes = NoteOut(many=True, help_text="Lawful but unusual; worth a second look.")
    ref = fields.Text(64)
    entered_at = serializers.DateTimeField()


class RoundShownOut(RoundOut):
    """A round in full for whoever keeps its card; for everybody else who may see it, the fields of a line."""

    def get_fields(self) -> dict[str, Any]:
        shown: dict[str, Any] = super().get_fields()
        for name in shown.keys() - LineOut().fields.keys():
            shown[name].required = False
        return shown


def _tenths(value: int | None) -> Any:
    return None if value is None else as_decimal(value)


def _named(row: Any) -> dict[str, Any] | None:
    return None if row is None else {"id": str(row.pk), "name": row.name}


def line_out(card: RoundCard) -> dict[str, Any]:
    played = card.played
    tee = played.tee
    attestation = None
    if played.attested_at is not None:
        attestation = {
            "by": _named(played.attested_by),
            "at": played.attested_at.isoformat(),
            "on_paper": played.attested_on_paper,
        }
    return {
        "id": str(played.pk),
        "official": False,
        "player": _named(played.player),
        "tee": {"id": str(tee.pk), "name": tee.name, "rated_for": tee.rated_for, "course": _named(tee.course)},
        "played_on": played.played_on.isoformat(),
        "order_in_day": played.order_in_day,
        "holes_in_play": played.holes_in_play,
        "n_holes": played.n_holes,
        "gross": played.gross,
        "adjusted_gross": played.adjusted_gross,
        "differential": _tenths(played.differential_tenths),
        "estimated": played.is_estimated,
        "attestation": attestation,
        "state": played.state,
        "complete": card.revision is not None,
        "version": played.version,
    }


def round_out(card: RoundCard, reader: Player) -> dict[str, Any]:
    """The whole card for those who keep it, the ledger line for everybody else who may see the round.

    `ref` is its writer's own: others who keep the card read it as empty.
    """
    if not card.in_full:
        return line_out(card)
    played = card.played
    return {
        **line_out(card),
        "no_differential_reason": card.no_differential_words,
        "par": card.tee_in_play.par,
        "course_handicap": card.course_handicap,
        "index_in_force": _tenths(card.index_in_force_tenths),
        "index_before": _tenths(card.index_before_tenths),
        "index_after": _tenths(card.index_after_tenths),
        "revision": card.revision.number if card.revision else None,
        "holes": [
            {
                "number": hole.number,
                "par": hole.par,
                "stroke_index": hole.stroke_index,
                "length": hole.length,
                "received": hole.received,
                "cap": hole.cap,
                "played": hole.is_played,
                "strokes": hole.strokes,
                "picked_up": hole.is_picked_up,
                "counted": hole.counted,
                "putts": hole.putts,
                "penalties": hole.penalties,
                "first_putt_beyond_20ft": hole.first_putt_is_long,
                "strokes_from_60": hole.strokes_from_60,
                "recovery": hole.had_recovery,
            }
            for hole in card.holes
        ],
        "playing_conditions": played.playing_conditions,
        "playing_conditions_from": played.playing_conditions_from,
        "not_played_reason": played.not_played_reason,
        "marker": _named(played.marker),
        "marker_name": played.marker_name,
        "note": played.note,
        "notes": played.notes,
        "ref": played.ref if played.posted_by_id == reader.pk else "",
        "entered_at": played.entered_at.isoformat(),
    }


def _fresh(played: Round, reader: Player, *, in_full: bool = True) -> dict[str, Any]:
    return round_out(round_card(with_cards(Round.objects.all()).get(pk=played.pk), in_full=in_full), reader)


def _unknown(field: str) -> Problem:
    return invalid([FieldError(field, "id", "Send the id of something you can see.")])


class Reader:
    """Turns what was sent into facts; ids in the body that the sender cannot see are field errors, not doors."""

    def __init__(self, account: Any) -> None:
        self.account = account

    def player(self, player_id: UUID | None) -> Player:
        if player_id is None:
            return access.own_player(self.account)
        try:
            return access.player_to_keep(self.account, player_id)
        except Http404:
            raise _unknown("player") from None

    def tee(self, tee_id: UUID) -> Tee:
        try:
            return access.tee_for(self.account, tee_id)
        except Http404:
            raise _unknown("tee") from None

    def marker(self, player_id: UUID | None) -> Player | None:
        if player_id is None:
            return None
        try:
            return access.player_for(self.account, player_id).row
        except Http404:
            raise _unknown("marker") from None

    def new(self, sent: dict[str, Any]) -> RoundFacts:
        if bool(sent.get("holes")) == (sent.get("gross") is not None):
            text = "Send `holes` for a card hole by hole, or `gross` for a total; one of them."
            raise invalid([FieldError("holes", "holes_or_gross", text)])
        _refuse_adjusted_with_holes(sent)
        return RoundFacts(
            tee=self.tee(sent["tee"]),
            played_on=sent["played_on"],
            order_in_day=sent.get("order_in_day"),
            holes_in_play=sent.get("holes_in_play", HolesInPlay.EIGHTEEN),
            holes=_holes(sent.get("holes", [])),
            gross=sent.get("gross"),
            adjusted_gross=sent.get("adjusted_gross"),
            marker=self.marker(sent.get("marker")),
            **{name: sent[name] for name in PLAIN if name in sent},
        )

    def changed(self, stored: Round, sent: dict[str, Any]) -> RoundFacts:
        """The stored facts with what was sent in their place. A card becomes a total, or back, by sending the other."""
        by_total = sent.get("gross") is not None
        if by_total and sent.get("holes"):
            raise invalid([FieldError("holes", "holes_or_gross", "Send `holes` or `gross`, not both.")])
        _refuse_adjusted_with_holes(sent)
        holes = _holes(sent["holes"]) if sent.get("holes") else (() if by_total else stored_holes(stored))
        total = None if holes else stored.gross
        adjusted = None if holes or by_total else stored.adjusted_gross
        return RoundFacts(
            tee=self.tee(sent["tee"]) if "tee" in sent else stored.tee,
            played_on=sent.get("played_on", stored.played_on),
            order_in_day=sent.get("order_in_day"),
            holes_in_play=sent.get("holes_in_play", stored.holes_in_play),
            holes=holes,
            gross=sent.get("gross", total),
            adjusted_gross=sent.get("adjusted_gross", adjusted),
            marker=self.marker(sent["marker"]) if "marker" in sent else stored.marker,
            ref=stored.ref,
            **{name: sent.get(name, getattr(stored, name)) for name in PLAIN if name != "ref"},
        )


def _refuse_adjusted_with_holes(sent: dict[str, Any]) -> None:
    if sent.get("holes") and sent.get("adjusted_gross") is not None:
        text = "It is worked out from the holes. Leave it out, or send a total."
        raise invalid([FieldError("adjusted_gross", "holes_or_gross", text)])


PLAIN = ("playing_conditions", "playing_conditions_from", "not_played_reason", "marker_name", "note", "ref")


def _holes(sent: list[dict[str, Any]]) -> tuple[HoleFacts, ...]:
    return tuple(
        HoleFacts(
            number=hole["number"],
            strokes=hole.get("strokes"),
            is_picked_up=hole.get("picked_up", False),
            putts=hole.get("putts"),
            penalties=hole.get("penalties"),
            first_putt_is_long=hole.get("first_putt_beyond_20ft"),
            strokes_from_60=hole.get("strokes_from_60"),
            had_recovery=hole.get("recovery"),
        )
        for hole in sent
    )


def stored_holes(stored: Round) -> tuple[HoleFacts, ...]:
    return tuple(rounds.hole_facts(hole.number, hole) for hole in stored.hole_scores.all())


def _placed(broken: RuleBroken, holes: tuple[HoleFacts, ...]) -> Problem:
    """Hole numbers in field names become places in the list that was sent."""
    places = {str(hole.number): place for place, hole in enumerate(holes)}
    errors = []
    for one in broken.problems:
        first, _, rest = one.field.partition(".")
        number, _, last = rest.partition(".")
        field = f"holes.{places[number]}.{last}" if first == "holes" and number in places else one.field
        errors.append(FieldError(field, one.code, one.message))
    return invalid(errors, "rule_broken")


class RoundsQuery(fields.Strict):
    player = fields.Id(required=False)
    played_from = fields.Day(required=False)
    played_to = fields.Day(required=False)
    tee = fields.Id(required=False)
    state = fields.Choice(RoundState, required=False)
    ref = fields.Text(64, required=False)


class Rounds(Endpoint):
    """Cards that you keep: your own, and those of players without an account that you look after."""

    query = paging.QUERY | frozenset(RoundsQuery().fields)

    @extend_schema(parameters=[RoundsQuery], responses={200: paging.page_of(RoundOut)})
    def get(self, request: Request) -> Response:
        asked, me = self.parameters(RoundsQuery), access.own_player(self.account)
        rows = _filtered(with_cards(access.visible_rounds(self.account)), asked)
        if "ref" in asked:
            rows = rows.filter(posted_by=me)
        listed = paging.page(self, rows, lambda played: played, order=("-played_on", "-order_in_day", "-id"))
        listed["results"] = [round_out(card, me) for card in round_cards(listed["results"], in_full=True)]
        return Response(listed)

    @extend_schema(request=RoundIn, responses={201: RoundOut})
    def post(self, request: Request) -> Response:
        sent = self.read(RoundIn)
        reader = Reader(self.account)
        player = reader.player(sent.get("player"))
        facts = reader.new(sent)
        me = access.own_player(self.account)

        def act() -> Answer:
            try:
                played = rounds.post_round(player=player, facts=facts, posted_by=me)
            except RuleBroken as broken:
                raise _placed(broken, facts.holes) from None
            address = f"{request.path}{played.pk}/"
            body = round_out(round_card(played, in_full=True), me)
            return Answer(body, headers={"Location": address, "ETag": f'"{played.version}"'}, made_round=played)

        return self.once(request, act)


def _filtered(rows: QuerySet[Round], asked: dict[str, Any]) -> QuerySet[Round]:
    names = {
        "player": "player_id",
        "played_from": "played_on__gte",
        "played_to": "played_on__lte",
        "tee": "tee_id",
        "state": "state",
        "ref": "ref",
    }
    return rows.filter(**{names[name]: value for name, value in asked.items()})


class CardEndpoint(Endpoint):
    def shown(self, played: Round, *, in_full: bool = True) -> dict[str, Any]:
        return _fresh(played, access.own_player(self.account), in_full=in_full)


class RoundDetail(CardEndpoint):
    @extend_schema(responses={200: RoundShownOut})
    def get(self, request: Request, round_id: UUID) -> Response:
        seen = access.round_for(self.account, round_id)
        return tagged(Response(self.shown(seen.row, in_full=seen.relation.sees_cards)), seen.row.version)

    @extend_schema(request=CorrectionIn, responses={200: RoundOut})
    def patch(self, request: Request, round_id: UUID) -> Response:
        """Correct a card. A new event and a new revision say so; the old ones stay in the ledger."""
        stored = access.round_to_change(self.account, round_id)
        self.require_match(request, stored.version, lambda: self.shown(stored))
        sent = self.read(CorrectionIn)
        facts = Reader(self.account).changed(stored, sent)
        try:
            fresh = rounds.correct_round(
                played=stored,
                facts=facts,
                version=stored.version,
                corrected_by=access.own_player(self.account),
                reason=sent.get("reason", ""),
            )
        except RuleBroken as broken:
            raise _placed(broken, facts.holes) from None
        except Stale:
            members = {"yours": self.payload(), "stored": self.shown(access.round_to_change(self.account, round_id))}
            raise Problem("stale", members=members) from None
        return tagged(Response(self.shown(fresh)), fresh.version)

    @extend_schema(request=ReasonIn, responses={200: RoundOut})
    def delete(self, request: Request, round_id: UUID) -> Response:
        """Withdraw a round: it leaves the record, and the ledger says when and why."""
        stored = access.round_to_change(self.account, round_id)
        self.require_match(request, stored.version, lambda: self.shown(stored))
        sent = self.read(ReasonIn) if self._has_body() else {}
        fresh = rounds.withdraw_round(
            played=stored,
            version=stored.version,
            withdrawn_by=access.own_player(self.account),
            reason=sent.get("reason", ""),
        )
        return tagged(Response(self.shown(fresh)), fresh.version)


class RoundAttestation(CardEndpoint):
    @extend_schema(request=AttestationIn, responses={201: LineOut})
    def post(self, request: Request, round_id: UUID) -> Response:
        """Confirm a group mate's card. Send If-Match: what is confirmed is the version that was looked at."""
        seen: Seen[Round] = access.round_to_attest(self.account, round_id)
        self.require_match(request, seen.row.version, lambda: self.shown(seen.row, in_full=seen.relation.sees_cards))
        sent = self.read(AttestationIn) if self._has_body() else {}
        if sent.get("on_paper") and seen.relation != Relation.ORGANISER:
            raise PermissionDenied

        def act() -> Answer:
            fresh = rounds.attest_round(
                played=seen.row,
                version=seen.row.version,
                attested_by=access.own_player(self.account),
                on_paper=sent.get("on_paper", False),
            )
            return Answer(self.shown(fresh, in_full=False), headers={"ETag": f'"{fresh.version}"'})

        return self.once(request, act)


urlpatterns: list[URLPattern | URLResolver] = [
    path("rounds/", Rounds.as_view(), name="api-rounds"),
    path("rounds/<uuid:round_id>/", RoundDetail.as_view(), name="api-round"),
    path("rounds/<uuid:round_id>/attestation/", RoundAttestation.as_view(), name="api-round-attestation"),
]
