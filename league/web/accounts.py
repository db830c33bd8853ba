"""Coming in and going out: signing up, in and out, and the way back when the password is forgotten."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

from django.contrib import messages
from django.contrib.auth import login, logout
from django.contrib.auth.tokens import default_token_generator
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import path, reverse
from django.utils.encoding import force_bytes
from django.utils.http import url_has_allowed_host_and_scheme, urlsafe_base64_decode, urlsafe_base64_encode
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_safe

from league import access
from league.models import Account
from league.models.members import fold_email
from league.services import accounts, members
from league.services.errors import Refused
from league.web.doors import form_page, is_too_fast, press_only, too_many
from league.web.forms import AskResetForm, NewPasswordForm, SignInForm, SignUpForm, see_other

HOUR = 3600
MODEL_BACKEND = "django.contrib.auth.backends.ModelBackend"
post_room = ThreadPoolExecutor(max_workers=1, thread_name_prefix="mail")
"""Mail leaves beside the answer, so that an unknown address is answered as fast as a known one."""


def let_in(request: HttpRequest, account: Account) -> None:
    """Signs in under a new session key, whatever cookie the browser came with."""
    login(request, account, backend=MODEL_BACKEND)


def too_many_tries(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
    response = too_many(request, "a quarter of an hour")
    response["Retry-After"] = str(HOUR // 4)
    return response


@form_page
@sensitive_post_parameters()
def sign_up(request: HttpRequest) -> HttpResponse:
    form = SignUpForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return render(request, "league/sign_up.html", {"form": form}, status=400 if form.is_bound else 200)
    if is_too_fast(request, "sign-up", 20, HOUR):
        return too_many(request, "an hour")
    entered = form.cleaned_data
    try:
        account = members.sign_up_organiser(**entered)
    except Refused as refused:
        known = access.account_by_password(request, entered["email"], entered["password"])
        if known is not None:
            let_in(request, known)
            return see_other("/")
        form.add_error("email", refused.message)
        return render(request, "league/sign_up.html", {"form": form}, status=409)
    let_in(request, account)
    place = account.player.memberships.get()
    messages.success(request, f"{place.group} is set up. Invite the others from here.")
    return see_other(reverse("group", args=[place.group_id]))


def _safe_next(request: HttpRequest) -> str:
    """Where the person was going, if that is a page of ours."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=set(), require_https=request.is_secure())
    return wanted if is_ours and wanted.startswith("/") and wanted.isprintable() else "/"


@form_page
@sensitive_post_parameters()
def sign_in(request: HttpRequest) -> HttpResponse:
    form = SignInForm(request.POST or None)
    asked_for = _safe_next(request)
    asked = {"form": form, "next": asked_for}
    if request.method != "POST" or not form.is_valid():
        return render(request, "league/sign_in.html", asked, status=400 if form.is_bound else 200)
    account = access.account_by_password(request, form.cleaned_data["email"], form.cleaned_data["password"])
    if account is None:
        form.add_error(None, "This address and password do not belong together here.")
        return render(request, "league/sign_in.html", asked, status=400)
    let_in(request, account)
    return see_other(reverse("erase") if account.erase_due_at else asked_for)


@press_only
def sign_out(request: HttpRequest) -> HttpResponse:
    if isinstance(request.user, Account) and request.session.session_key:
        accounts.forget_sign_in(session_key=request.session.session_key)
    logout(request)
    messages.success(request, "You are signed out. This browser keeps nothing of yours: no sign-in, no stored page.")
    return see_other(reverse("sign_in"))


# The way back


@form_page
def ask_reset(request: HttpRequest) -> HttpResponse:
    form = AskResetForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return render(request, "league/reset.html", {"form": form}, status=400 if form.is_bound else 200)
    if is_too_fast(request, "reset", 10, HOUR):
        return too_many(request, "an hour")
    account = Account.objects.filter(email=fold_email(form.cleaned_data["email"]), is_active=True).first()
    if account is not None:
        _send_reset(request, account)
    return see_other(reverse("reset_sent"))


def _send_reset(request: HttpRequest, account: Account) -> None:
    number = urlsafe_base64_encode(force_bytes(account.pk))
    address = reverse("reset_password", args=[number, default_token_generator.make_token(account)])
    text = render_to_string("league/mail/reset.txt", {"link": request.build_absolute_uri(address)})
    post_room.submit(EmailMessage("A new password", text, to=[account.email]).send, True)


@require_safe
def reset_sent(request: HttpRequest) -> HttpResponse:
    return render(request, "league/reset_sent.html")


def _account_of_link(number: str, token: str) -> Account:
    """Used, late, cut and foreign links answer alike."""
    try:
        account = Account.objects.filter(pk=urlsafe_base64_decode(number).decode(), is_active=True).first()
    except (ValueError, ValidationError):
        account = None
    if account is None or not default_token_generator.check_token(account, token):
        raise Http404
    return account


@form_page
@sensitive_post_parameters()
def reset_password(request: HttpRequest, number: str, token: str) -> HttpResponse:
    account = _account_of_link(number, token)
    form = NewPasswordForm(account, request.POST or None)
    if request.method != "POST" or not form.is_valid():
        return render(request, "league/reset_password.html", {"form": form}, status=400 if form.is_bound else 200)
    accounts.reset_password(account=account, password=form.cleaned_data["new_password"])
    messages.success(request, "The new password holds. Every sign-in and every API token of this account has ended.")
    return see_other(reverse("sign_in"))


urlpatterns = [
    path("sign-up/", sign_up, name="sign_up"),
    path("sign-in/", sign_in, name="sign_in"),
    path("sign-out/", sign_out, name="sign_out"),
    path("reset/", ask_reset, name="reset"),
    path("reset/sent/", reset_sent, name="reset_sent"),
    path("reset/<str:number>/<str:token>/", reset_password, name="reset_password"),
]
