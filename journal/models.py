"""What a player writes for nobody but themselves. No table of the league knows of it: every link leads one way.

Texts are sealed when the operator has set keys (`sealing.py`). Days are those at the course; moments are UTC.
"""

import uuid
from typing import ClassVar

from django.db import models
from django.db.models import Q

from journal.library import DEFAULT_BREATHS
from journal.sealing import SealedText
from league.models import CardLine, Group, Player, Round, Tee


class Cause(models.TextChoices):
    DECISION = "decision", "the decision"
    EXECUTION = "execution", "the strike"
    LUCK = "luck", "luck"


class Kept(models.TextChoices):
    YES = "yes", "yes"
    PARTLY = "partly", "partly"
    NO = "no", "no"
    NONE = "none", "there was none"


class State(models.TextChoices):
    DRAFT = "draft", "draft"
    DONE = "done", "done"
    SKIPPED = "skipped", "skipped"


class Routine(models.Model):
    """The player's own reset: a few breaths and one sentence. Without a row the usual one is shown."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.OneToOneField(Player, on_delete=models.CASCADE, related_name="+")
    sentence = SealedText(blank=True)
    breaths = models.PositiveSmallIntegerField(default=DEFAULT_BREATHS)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"routine {self.id}"


class Reset(models.Model):
    """That a reset was done. `client_id` is made on the phone: a mark that arrives twice is one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="+")
    client_id = models.UUIDField()
    line = models.ForeignKey(CardLine, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    round = models.ForeignKey(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    hole = models.PositiveSmallIntegerField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    stored_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["player", "client_id"], name="a_reset_arrives_once"),
            models.CheckConstraint(condition=Q(hole=None) | Q(hole__range=(1, 18)), name="reset_on_a_hole"),
        ]

    def __str__(self) -> str:
        return f"reset {self.id}"

    @property
    def round_played(self) -> Round | None:
        """The round it belongs to, also when that came of a card later."""
        if self.round is not None:
            return self.round
        return self.line.round if self.line is not None else None


class Intention(models.Model):
    """Before a round: the range to expect (gross strokes, None where there was too little), one aim, one if-then."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="+")
    tee = models.ForeignKey(Tee, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    round = models.ForeignKey(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    played_on = models.DateField()
    low = models.PositiveSmallIntegerField(null=True, blank=True)
    high = models.PositiveSmallIntegerField(null=True, blank=True)
    n_rounds = models.PositiveIntegerField(default=0)
    range_words = SealedText(blank=True)
    goal = SealedText(blank=True)
    when = SealedText(blank=True)
    then = SealedText(blank=True)
    created_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["player", "played_on"], name="intentions_by_day")]

    def __str__(self) -> str:
        return f"intention {self.id}"


class LookBack(models.Model):
    """Two minutes after a round."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="+")
    round = models.ForeignKey(Round, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    played_on = models.DateField()
    state = models.CharField(max_length=7, choices=State, default=State.DRAFT)
    worst_hole = models.PositiveSmallIntegerField(null=True, blank=True)
    cause = models.CharField(max_length=9, choices=Cause, blank=True)
    hole_words = SealedText(blank=True)
    plan_kept = models.CharField(max_length=6, choices=Kept, blank=True)
    keep = SealedText(blank=True)
    change = SealedText(blank=True)
    created_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["player", "round"], name="one_look_back_per_round"),
            models.CheckConstraint(
                condition=Q(worst_hole=None) | Q(worst_hole__range=(1, 18)), name="looked_back_on_a_hole"
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["player", "played_on"], name="look_backs_by_day")]

    def __str__(self) -> str:
        return f"look-back {self.id}"


class Share(models.Model):
    """One look-back, one reader, by way of one group. `to_all`: meant for the whole group as it was that moment."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    look_back = models.ForeignKey(LookBack, on_delete=models.CASCADE, related_name="+")
    reader = models.ForeignKey(Player, on_delete=models.CASCADE, related_name="+")
    group = models.ForeignKey(Group, on_delete=models.CASCADE, related_name="+")
    to_all = models.BooleanField(default=False)
    shared_at = models.DateTimeField()

    class Meta:
        constraints: ClassVar = [models.UniqueConstraint(fields=["look_back", "reader"], name="one_share_per_reader")]

    def __str__(self) -> str:
        return f"share {self.id}"


class GuardianDecision(models.Model):
    """Whether somebody under 18 may write in their own words. Of the guardian only yes or no and when is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    player = models.OneToOneField(Player, on_delete=models.CASCADE, related_name="+")
    link_hash = models.CharField(max_length=64, unique=True)
    asked_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    decided_at = models.DateTimeField(null=True, blank=True)
    allows = models.BooleanField(null=True, blank=True)

    def __str__(self) -> str:
        return f"guardian's decision {self.id}"
