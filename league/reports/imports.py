"""Imported files as pages show them: their rows by name, and what taking them did to each index."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from league.models import HolesInPlay, Player, Revision, Round, RoundImport, RoundState, Tee
from league.rules import rounding


@dataclass(frozen=True, kw_only=True)
class ImportLine:
    """A row of a checked file. `gross` is None where a hole was picked up without a number; a tee may be gone."""

    row: int
    player: str
    played_on: date
    tee: Tee | None
    holes: str
    gross: int | None
    adjusted_gross: int | None
    is_stored: bool


@dataclass(frozen=True, kw_only=True)
class Gain:
    """What an import did to one player's index. `n_rounds` still stand of the `n_stored` that it brought."""

    player: Player
    n_stored: int
    n_rounds: int
    before_tenths: int | None
    after_tenths: int | None


@dataclass(frozen=True, kw_only=True)
class ImportEntry:
    """One line of the list of earlier imports."""

    imported: RoundImport
    n_rows: int
    n_new: int


def import_entries(found: Iterable[RoundImport]) -> list[ImportEntry]:
    return [ImportEntry(imported=one, n_rows=len(one.rows), n_new=n_new(one)) for one in found]


def n_new(imported: RoundImport) -> int:
    return sum(not row["is_stored"] for row in imported.rows)


def import_lines(rows: Sequence[dict[str, Any]]) -> list[ImportLine]:
    """Two queries, however many rows."""
    tees = Tee.objects.select_related("course").in_bulk({row["tee"] for row in rows})
    players = Player.objects.in_bulk({row["player"] for row in rows})
    tees_by_id = {str(key): tee for key, tee in tees.items()}
    names = {str(key): player.name for key, player in players.items()}
    return [_line(row, tees_by_id.get(row["tee"]), names.get(row["player"], "")) for row in rows]


def _line(row: dict[str, Any], tee: Tee | None, player: str) -> ImportLine:
    strokes = [hole[1] for hole in row["holes"]]
    by_holes = None if None in strokes else sum(strokes)
    return ImportLine(
        row=row["row"],
        player=player,
        played_on=date.fromisoformat(row["played_on"]),
        tee=tee,
        holes=_holes_words(row["holes_in_play"], len(strokes)),
        gross=by_holes if strokes else row["gross"],
        adjusted_gross=row["adjusted_gross"],
        is_stored=row["is_stored"],
    )


def _holes_words(holes_in_play: str, n_holes: int) -> str:
    words = {HolesInPlay.FRONT: "front 9", HolesInPlay.BACK: "back 9", HolesInPlay.NINE: "9"}
    return words.get(HolesInPlay(holes_in_play), str(n_holes or 18))


def gains(imported: RoundImport) -> list[Gain]:
    """From which index to which, by player; empty before the import was applied."""
    entered = Revision.objects.filter(event__round__from_import=imported, event__kind="entered")
    first: dict[Player, Revision] = {}
    last: dict[Player, Revision] = {}
    stored: dict[Player, int] = {}
    for revision in entered.select_related("player").order_by("player__name", "player_id", "number"):
        first.setdefault(revision.player, revision)
        last[revision.player] = revision
        stored[revision.player] = stored.get(revision.player, 0) + 1
    standing = Round.objects.filter(from_import=imported, state=RoundState.STANDING).values_list("player_id", flat=True)
    still = list(standing)
    return [
        Gain(
            player=player,
            n_stored=stored[player],
            n_rounds=still.count(player.pk),
            before_tenths=_previous(first[player]),
            after_tenths=last[player].index_tenths,
        )
        for player in first
    ]


def _previous(revision: Revision) -> int | None:
    text = revision.detail.get("previous")
    return None if text is None else rounding.tenths(text)
