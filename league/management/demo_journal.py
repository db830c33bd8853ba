"""Nuala's journal in the demo: two look-backs, one shared, an aim for next Saturday, her own reset. Invented.

What she meant is written as of the evening before: the range is the one that her rounds until then gave.
"""

import math
import uuid
from collections.abc import Mapping
from datetime import UTC, datetime, time, timedelta
from typing import Any

from journal.models import Intention
from journal.services.before import write_intention
from journal.services.look_backs import open_look_back, share_look_back, write_look_back
from journal.services.resets import mark_reset, word_routine
from league.estimates import outlook
from league.models import Membership, Player, Round

WRITER, READER = "nuala", "tomoko"
NOTES = (
    {
        "cause": "decision",
        "hole_words": "Went for the gap. There was no gap.",
        "plan_kept": "partly",
        "keep": "Speed on the long putts.",
        "change": "Short grass first, when there are trees.",
    },
    {
        "cause": "execution",
        "hole_words": "Right club, thin strike.",
        "plan_kept": "yes",
        "keep": "The pause on the 12th; par on the 13th.",
        "change": "One club more into the wind.",
    },
)


def write_journal(players: Mapping[str, Player]) -> None:
    player = players[WRITER]
    played = list(Round.objects.whole().filter(player=player, is_total=False).reverse()[:2])
    word_routine(player=player, sentence="That one is on the card. Where does this one land?", breaths=3)
    for one, hole, notes in zip(reversed(played), (7, 12), NOTES, strict=True):
        meant = {"goal": "From trouble, short grass first.", "when": "If I stand in the trees,"}
        then = "then I take the shot that is sure to reach short grass."
        Intention.objects.create(player=player, round=one, **_evening_before(one), **meant, then=then)
        written = write_look_back(
            look_back=open_look_back(player=player, played=one), changes={**notes, "worst_hole": hole, "state": "done"}
        )
    _mark_resets(player)
    group = Membership.objects.filter(player=players[READER], left_at=None).earliest("joined_at").group
    share_look_back(look_back=written, group=group, readers=[players[READER]], to_all=False)
    next_day = played[0].played_on + timedelta(days=7)
    write_intention(
        player=player,
        played_on=next_day,
        tee=played[0].tee,
        played=None,
        words={"goal": "Every first putt from afar: speed first."},
    )


def _evening_before(played: Round) -> dict[str, Any]:
    rounds = Round.objects.whole().filter(player=played.player).select_related("tee__course")
    before = [(one, told) for one in rounds if one.played_on < played.played_on and (told := one.as_played) is not None]
    level = outlook.levels_of([told for _, told in before])[-1]
    foretold = outlook.predict(level, played.played_on, played.tee.key)
    low, high = (math.floor(played.tee.ground.gross(foretold.quantile(share)) + 0.5) for share in (0.1, 0.9))
    known = {"tee": played.tee, "played_on": played.played_on, "low": low, "high": high, "n_rounds": level.n}
    return {**known, "created_at": datetime.combine(played.played_on - timedelta(days=1), time(19), UTC)}


def _mark_resets(player: Player) -> None:
    """After every other hole of three over par or worse."""
    bad = [
        (played, result.number)
        for played, results in Round.objects.whole().filter(player=player).hole_by_hole()
        for result in results
        if result.over >= 3
    ]
    for played, number in bad[::2]:
        mark_reset(player=player, client_id=uuid.uuid4(), played=played, hole=number)
