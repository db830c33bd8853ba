"""Cards of the demo: one that is being played, with a hole written twice, and one that waits for a yes."""

from collections.abc import Mapping
from datetime import date
from uuid import NAMESPACE_OID, UUID, uuid5

from league.models import Card, Player, Tee
from league.services import card_lines, card_marks, cards
from league.services.card_lines import Sending
from league.services.card_marks import Written
from league.services.cards import Opening

OVER_PAR = (1, 0, 2, 1, 1, 3, 0, 1, 1, 0, 2, 1, 0, 1, 1, 2, 1, 0)
PLAYED = 7


def write_cards(players: Mapping[str, Player], day: date) -> None:
    """Tomoko keeps a card with Nuala, who has written a hole otherwise; Nuala has sent one in for Tomoko."""
    tomoko, nuala = players["tomoko"], players["nuala"]
    tee = tomoko.home_tee
    if tee is None:
        return
    going = _opened(tomoko, tee, day, "going", tomoko, nuala)
    for place in (1, 2):
        _write(going, tomoko, place, range(1, PLAYED + 1), "tomoko")
    _write(going, nuala, 2, range(PLAYED, PLAYED + 1), "nuala", more=1)
    sent = _opened(nuala, tee, day, "sent", tomoko)
    _write(sent, nuala, 1, range(1, 19), "nuala")
    card_lines.send_card(card=sent, sender=nuala, sending=Sending())


def _id(*names: object) -> UUID:
    return uuid5(NAMESPACE_OID, " ".join(map(str, ("demo card", *names))))


def _opened(scorer: Player, tee: Tee, day: date, name: str, *players: Player) -> Card:
    opening = Opening(
        client_id=_id(name),
        tee=tee,
        tee_version=tee.version,
        holes_in_play="18",
        played_on=day,
        players=players,
        group=tee.course.group,
    )
    return cards.open_card(opener=scorer, opening=opening)


def _write(card: Card, writer: Player, place: int, numbers: range, phone: str, more: int = 0) -> None:
    line = card.lines.get(place=place)
    pars = {hole.number: hole.par for hole in card.tee.holes.all()}
    marks = [
        Written(
            client_id=_id(card.client_id, place, number, phone),
            line=line.pk,
            number=number,
            value={"strokes": pars[number] + OVER_PAR[(number + place) % 18] + more, "putts": 2},
        )
        for number in numbers
    ]
    card_marks.write_marks(card=card, writer=writer, device=_id(phone), marks=marks)
