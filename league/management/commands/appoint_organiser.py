from argparse import ArgumentParser
from uuid import UUID

from django.core.management.base import BaseCommand, CommandError

from league.models import Group, Membership
from league.models.members import fold_email
from league.services.members import appoint_organiser


class Command(BaseCommand):
    help = (
        "Gives a group that rests, since its last organiser was erased, to one of its members who is willing. "
        "The group's record says that the service did it, and why."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("group", type=UUID, help="the id in the address of the group's page")
        parser.add_argument("email", help="the address with which the member signs in")
        parser.add_argument("--reason", required=True, help="who asked for it; the organiser reads it in the record")

    def handle(self, *args: object, group: UUID, email: str, reason: str, **options: object) -> None:
        found = Group.objects.filter(pk=group).first()
        if found is None:
            raise CommandError(f"There is no group {group}.")
        if found.rests_since is None:
            raise CommandError(f"{found} does not rest: its organisers name others themselves.")
        members = Membership.objects.filter(group=found, left_at=None).select_related("group", "player")
        place = members.filter(player__account__email=fold_email(email)).first()
        if place is None:
            raise CommandError(f"Nobody in {found} signs in with that address.")
        appoint_organiser(membership=place, reason=reason)
        self.stdout.write(f"{place.player} organises {found} now.")
