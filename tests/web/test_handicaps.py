"""Pages of the ledger and the player's home."""

import re
from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from league.models import Revision
from league.services import rounds
from league.services.rounds import HoleFacts, RoundFacts
from tests import build

pytestmark = pytest.mark.django_db


@pytest.fixture
def people():
    return build.people()


@pytest.fixture
def tee(people):
    return build.tee(build.course(people.group))


def post_many(player, tee, count, first=date(2026, 3, 1)):
    for place in range(count):
        over = 1 + place % 2
        holes = tuple(HoleFacts(number=hole.number, strokes=hole.par + over) for hole in tee.holes.all())
        facts = RoundFacts(tee=tee, played_on=first + timedelta(days=3 * place), holes=holes)
        rounds.post_round(player=player, facts=facts, posted_by=player)


def text_of(answer):
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_the_front_door_leads_in(people):
    assert build.signed_in(people.ann).get("/").status_code == 200
    away = Client().get("/")
    assert (away.status_code, away["Location"]) == (303, "/sign-in/")


def test_home_says_how_many_rounds_are_missing(people, tee):
    client = build.signed_in(people.ann)
    assert "No index yet" in text_of(client.get("/"))
    post_many(people.ann, tee, 2)
    assert "One more round of eighteen holes" in text_of(client.get("/"))


def test_home_gives_the_course_handicap_of_the_tee(people, tee):
    post_many(people.ann, tee, 5)
    page = text_of(build.signed_in(people.ann).get(f"/?tee={tee.pk}"))
    assert "your course handicap" in page
    assert "Index, unofficial" in page
    assert build.signed_in(people.cat).get(f"/?tee={tee.pk}").status_code == 404


def test_the_ledger_explains_the_index_and_links_every_step(people, tee):
    post_many(people.ann, tee, 5)
    page = build.signed_in(people.ann).get(f"/players/{people.ann.pk}/ledger/")
    html = page.content.decode()
    assert "Why your index is" in text_of(page)
    for number in range(1, 6):
        assert f'href="{number}/"' in html
    assert "unofficial" in text_of(page).lower()


def test_a_revision_page_tells_the_steps_in_order(people, tee):
    post_many(people.ann, tee, 4)
    page = text_of(build.signed_in(people.ann).get(f"/players/{people.ann.pk}/ledger/4/"))
    assert "Rule 5.2a" in page
    assert "The one before" in page


def test_a_mate_sees_the_lines_unless_they_are_hidden(people, tee):
    post_many(people.ann, tee, 4)
    mate = build.signed_in(people.dan)
    address = f"/players/{people.ann.pk}/ledger/"
    assert "Every revision" in text_of(mate.get(address))
    people.ann.memberships.update(hides_lines=True)
    hidden = mate.get(address)
    assert hidden.status_code == 200
    assert "shows the group the index, not the lines" in text_of(hidden)
    assert "Every revision" not in text_of(hidden)
    assert mate.get(f"{address}2/").status_code == 403
    assert build.signed_in(people.cat).get(address).status_code == 404


def test_the_files_are_for_those_who_keep_the_cards(people, tee):
    post_many(people.ann, tee, 3)
    for name in ("file", "table"):
        address = f"/players/{people.ann.pk}/ledger/{name}/"
        assert build.signed_in(people.ann).get(address).status_code == 200
        assert build.signed_in(people.ben).get(address).status_code == 403
        assert build.signed_in(people.cat).get(address).status_code == 404


def test_a_ledger_without_rounds_says_so(people):
    assert "nothing to explain" in text_of(build.signed_in(people.ann).get(f"/players/{people.ann.pk}/ledger/"))


def test_a_page_costs_the_same_queries_for_five_rounds_and_for_thirty(people, tee, django_assert_max_num_queries):
    client = build.signed_in(people.ann)
    post_many(people.ann, tee, 5)
    client.get("/")
    for more in (0, 25):
        post_many(people.ann, tee, more, date(2026, 4, 1))
        for address in (f"/players/{people.ann.pk}/ledger/", "/rounds/", "/"):
            with django_assert_max_num_queries(23):
                assert client.get(address).status_code == 200


def test_home_says_from_when_the_index_is_in_force(people, tee):
    """What came in today counts from tomorrow (Rule 5.4); a day later nothing needs to be said."""
    client, today = build.signed_in(people.ann), timezone.now().date()
    for back in range(3):
        facts = RoundFacts(tee=tee, played_on=today - timedelta(days=back), gross=90 + back)
        rounds.post_round(player=people.ann, facts=facts, posted_by=people.ann)
    issued_on = Revision.objects.filter(player=people.ann).latest("number").issued_on
    for day, said in ((issued_on - timedelta(days=1), True), (issued_on, False)):
        shown = text_of(client.get("/", {"day": day.isoformat()}))
        assert ("It is in force from" in shown) is said
