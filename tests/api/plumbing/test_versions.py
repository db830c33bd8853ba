import pytest

from league.models import Player

BODY = '{"name": "Anna"}'


def test_a_change_needs_the_version_that_was_seen(people, ann, notes):
    seen = ann("GET", notes)["ETag"]
    assert seen == '"1"'
    answer = ann("PATCH", notes, BODY)
    assert (answer.status_code, answer.json()["code"]) == (428, "match_required")
    answer = ann("PATCH", notes, BODY, If_Match=seen)
    assert (answer.status_code, answer["ETag"]) == (200, '"2"')


@pytest.mark.parametrize("tag", ['"2"', 'W/"1"', "1", "nonsense", '""', '"7", "8"'])
def test_another_version_changes_nothing_and_shows_both(people, ann, notes, tag):
    answer = ann("PATCH", notes, BODY, If_Match=tag)
    assert answer.status_code == 412
    assert answer.json()["code"] == "stale"
    assert (answer.json()["yours"], answer.json()["stored"]) == ({"name": "Anna"}, {"name": "Ann"})
    assert Player.objects.get(pk=people.ann.pk).name == "Ann"


@pytest.mark.parametrize("tag", ['"1"', '"7", "1"', "*"])
def test_one_of_several_versions_is_enough(ann, notes, tag):
    assert ann("PATCH", notes, BODY, If_Match=tag).status_code == 200


def test_a_patch_may_leave_fields_out_but_not_be_empty_text(ann, notes):
    answer = ann("PATCH", notes, '{"name": ""}', If_Match='"1"')
    assert answer.json()["errors"][0]["code"] == "blank"
