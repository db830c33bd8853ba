"""Lists of shots beside what happens to the book meanwhile."""

import pytest

from league.exchange import shots_csv
from league.models import CarryBook, Club, Shot
from league.services import carries, shots
from league.services.errors import Refused
from tests import build

pytestmark = pytest.mark.django_db
LIST = b"club,carry,off line\nspoon,150,-10\nspoon,100,3\n"


@pytest.fixture
def people() -> build.People:
    return build.people()


def read(unit: str = "yards") -> shots_csv.ShotsReading:
    return shots_csv.read(LIST, wanted=unit)


def test_a_club_that_went_between_looking_and_storing_stops_the_list(people: build.People) -> None:
    spoon = carries.add_club(player=people.ann, facts=carries.ClubFacts(name="spoon", kind="wood", carry=160))
    assert shots.check_shots(player=people.ann, reading=read()).is_ready
    carries.remove_club(club=spoon)
    with pytest.raises(Refused) as refused:
        shots.import_shots(player=people.ann, reading=read())
    assert refused.value.code == "import_outdated"
    assert not Shot.objects.exists()
    assert not CarryBook.objects.get().clubs.exists()


def test_what_a_list_brought_follows_the_unit_and_is_still_taken_back(people: build.People) -> None:
    """150 yards are 137.16 m, 100 are 91.44, 10 are 9.144, 3 are 2.74."""
    carries.add_club(player=people.ann, facts=carries.ClubFacts(name="spoon", kind="wood", carry=160))
    batch = shots.import_shots(player=people.ann, reading=read()).batch
    carries.change_book(player=people.ann, facts=carries.BookFacts(length_unit="metres"))
    assert list(Shot.objects.order_by("pk").values_list("carry", "off_line")) == [(137, -9), (91, 3)]
    assert shots.undo_shots(player=people.ann, batch=batch) == 2
    assert shots.undo_shots(player=people.ann, batch=batch) == 0
    assert Club.objects.get().name == "spoon"


def test_nobody_takes_back_what_another_brought(people: build.People) -> None:
    carries.add_club(player=people.ann, facts=carries.ClubFacts(name="spoon", kind="wood", carry=160))
    batch = shots.import_shots(player=people.ann, reading=read()).batch
    assert shots.undo_shots(player=people.ben, batch=batch) == 0
    assert Shot.objects.count() == 2
