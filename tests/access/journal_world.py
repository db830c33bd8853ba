"""Ann's journal: a canary in every text of it, and one look-back that dan may read."""

import uuid
from datetime import date, timedelta

from django.utils import timezone

from journal.models import GuardianDecision
from journal.services.before import write_intention
from journal.services.look_backs import open_look_back, share_look_back, write_look_back
from journal.services.resets import mark_reset, word_routine
from league.models import Card, CardLine, Round, Tee
from league.models.members import hash_of
from tests import build

JOURNAL = "canary-journal-ann"
SHARED = "canary-shared-ann"


def build_journal(people: build.People, ids: dict[str, str]) -> None:
    ann, dan = people.ann, people.dan
    line = CardLine.objects.create(
        card=Card.objects.create(
            client_id=uuid.uuid4(),
            opened_by=ann,
            tee=Tee.objects.get(pk=ids["tee"]),
            tee_version=1,
            played_on=date(2026, 5, 20),
            opened_at=timezone.now(),
        ),
        player=ann,
        place=1,
    )
    word_routine(player=ann, sentence=f"{JOURNAL}-sentence", breaths=2)
    mark = mark_reset(player=ann, client_id=uuid.uuid4(), line=line, hole=7)
    words = {name: f"{JOURNAL}-{name}" for name in ("range_words", "goal", "when", "then")}
    tee, played = Tee.objects.get(pk=ids["tee"]), Round.objects.get(pk=ids["round of ann"])
    intention = write_intention(player=ann, played_on=date(2026, 5, 21), tee=tee, played=None, words=words)
    other = Round.objects.filter(player=ann).exclude(pk=played.pk).first()
    draft = open_look_back(player=ann, played=other)
    write_look_back(look_back=draft, changes={"keep": f"{JOURNAL}-draft"})
    done = open_look_back(player=ann, played=played)
    words = {name: f"{SHARED}-{name}" for name in ("hole_words", "keep", "change")}
    done = write_look_back(look_back=done, changes={**words, "state": "done", "worst_hole": 4, "cause": "luck"})
    share_look_back(look_back=done, group=people.group, readers=[dan], to_all=False)
    rows = {"reset": mark, "intention": intention, "draft": draft, "look-back": done}
    link = "guardian-link-" + "x" * 32
    later = timezone.now() + timedelta(days=3)
    GuardianDecision.objects.create(player=ann, link_hash=hash_of(link), asked_at=timezone.now(), ends_at=later)
    ids["guardian link"] = link
    ids |= {name: str(row.pk) for name, row in rows.items()}
