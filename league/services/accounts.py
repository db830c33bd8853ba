"""Accounts and their open sign-ins."""

from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.db import IntegrityError, transaction
from django.utils import timezone

from league.models import Account, SignIn, Token
from league.models.members import fold_email
from league.services.errors import Refused

AGENT_CHARACTERS = 120


@transaction.atomic
def open_account(*, email: str, password: str) -> Account:
    """An account without a player; the caller gives it one in the same transaction."""
    try:
        with transaction.atomic():
            return Account.objects.create_user(email, password, created_at=timezone.now())
    except IntegrityError:
        raise Refused("email_taken", "This address has an account here already. Sign in with it instead.") from None


@transaction.atomic
def set_password(*, account: Account, password: str, keep_session: str = "") -> None:
    """Everybody signed in with the old password is out, but for the session named."""
    account.set_password(password)
    account.save(update_fields=["password"])
    end_sign_ins(account=account, keep_session=keep_session)


@transaction.atomic
def reset_password(*, account: Account, password: str) -> None:
    """By the mailed link: whoever else had the old password may have made tokens, so they end as well."""
    set_password(account=account, password=password)
    Token.objects.filter(account=account, withdrawn_at=None).update(withdrawn_at=timezone.now())


@transaction.atomic
def change_email(*, account: Account, email: str) -> None:
    taken = Account.objects.filter(email=fold_email(email)).exclude(pk=account.pk).exists()
    if taken:
        raise Refused("email_taken", "This address belongs to another account here. Choose another one.")
    account.email = fold_email(email)
    account.save(update_fields=["email"])


@transaction.atomic
def see_sign_in(*, account: Account, session_key: str, agent: str) -> SignIn:
    """Written at the sign-in and at most once an hour after it."""
    now = timezone.now()
    seen, _ = SignIn.objects.update_or_create(
        session_key=session_key,
        defaults={"account": account, "last_seen_at": now, "agent": agent[:AGENT_CHARACTERS]},
        create_defaults={
            "account": account,
            "last_seen_at": now,
            "agent": agent[:AGENT_CHARACTERS],
            "created_at": now,
        },
    )
    return seen


@transaction.atomic
def move_sign_in(*, session_key: str, new_key: str) -> None:
    """A session that changed its key, as it does with the password, stays the same sign-in."""
    SignIn.objects.filter(session_key=session_key).update(session_key=new_key)


@transaction.atomic
def forget_sign_in(*, session_key: str) -> None:
    """The person signed out; the session itself goes with the answer."""
    SignIn.objects.filter(session_key=session_key).delete()


@transaction.atomic
def end_sign_in(*, sign_in: SignIn) -> None:
    SessionStore(sign_in.session_key).delete()
    sign_in.delete()


@transaction.atomic
def end_sign_ins(*, account: Account, keep_session: str = "") -> int:
    ending = list(SignIn.objects.filter(account=account).exclude(session_key=keep_session))
    for sign_in in ending:
        end_sign_in(sign_in=sign_in)
    return len(ending)


@transaction.atomic
def forget_ended_sign_ins(*, now: datetime) -> int:
    """Rows of sign-ins that ended by themselves: idle too long, or too old."""
    idle = now - timedelta(seconds=settings.SESSION_COOKIE_AGE)
    oldest = now - timedelta(days=settings.SIGN_IN_MAX_DAYS)
    ended = SignIn.objects.filter(last_seen_at__lt=idle) | SignIn.objects.filter(created_at__lt=oldest)
    ending = list(ended)
    for sign_in in ending:
        end_sign_in(sign_in=sign_in)
    return len(ending)


@transaction.atomic
def end_all_access() -> tuple[int, int]:
    """Everybody is signed out and every token ends; the numbers of both."""
    n_sign_ins = SignIn.objects.all().delete()[0]
    Session.objects.all().delete()
    n_tokens = Token.objects.filter(withdrawn_at=None).update(withdrawn_at=timezone.now())
    return n_sign_ins, n_tokens
