"""Every setting of the service. Variables of the environment are named and explained in DEVELOPERS.md."""

from datetime import timedelta
from pathlib import Path
from typing import Any

from celery.schedules import crontab
from csp.constants import NONE, SELF
from redis.backoff import NoBackoff
from redis.retry import Retry

from league.config.environment import (
    env_bool,
    env_choice,
    env_folder,
    env_int,
    env_list,
    env_postgresql,
    env_redis,
    env_secret,
    env_text,
)
from league.config.logs import logging_for

BASE = Path(__file__).resolve().parents[2]
DATA = env_folder("LEAGUE_DATA", BASE / "data")

DEBUG = env_bool("LEAGUE_DEBUG", False)
SECRET_KEY = env_secret("LEAGUE_SECRET_KEY", DATA / "secret_key")
BEHIND_HTTPS = env_bool("LEAGUE_HTTPS", False)
ALLOWED_HOSTS = env_list("LEAGUE_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
PROXIES = env_list("LEAGUE_PROXIES", ["127.0.0.1", "::1"] if BEHIND_HTTPS else [])
REDIS = env_redis("LEAGUE_REDIS_URL")
POSTGRESQL = env_postgresql("LEAGUE_DATABASE_URL")

# Application

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "csp",
    "axes",
    "league.apps.LeagueConfig",
    "journal.apps.JournalConfig",
]
MIDDLEWARE = [
    "league.config.middleware.RequestId",
    "league.config.middleware.NamedProxy",
    "league.api.errors.ProblemsOnly",
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "league.config.middleware.Private",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "league.web.sign_ins.SignIns",
    "league.web.doors.Refusals",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "league.config.urls"
WSGI_APPLICATION = "league.config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "league.web.context.sheet",
            ],
        },
    },
]
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = True

# Database: facts are on the disk before they are acknowledged, hence synchronous=FULL; IMMEDIATE, since SQLite
# knows no row locks and a transaction that reads first would otherwise fail when it comes to write.

SQLITE = {
    "ENGINE": "django.db.backends.sqlite3",
    "NAME": DATA / "league.sqlite3",
    "CONN_MAX_AGE": None,
    "OPTIONS": {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;PRAGMA mmap_size=134217728;PRAGMA cache_size=-20000;"
        ),
    },
}


def _pooled(parts: dict[str, Any]) -> dict[str, Any]:
    size = env_int("LEAGUE_DATABASE_POOL", 4, 1, 100)
    options = {**parts["OPTIONS"], "pool": {"min_size": 1, "max_size": size, "timeout": 10}}
    return {**parts, "ENGINE": "django.db.backends.postgresql", "CONN_MAX_AGE": 0, "OPTIONS": options}


DATABASES = {"default": _pooled(POSTGRESQL) if POSTGRESQL else SQLITE}

# Cache: counts of requests and the like, no facts; shared by all processes.

CACHES = {
    "default": (
        {
            "BACKEND": "league.config.cache.ForgivingRedisCache",
            "LOCATION": REDIS,
            "OPTIONS": {"socket_timeout": 2, "socket_connect_timeout": 2, "retry": Retry(NoBackoff(), 1)},
        }
        if REDIS
        else {
            "BACKEND": "league.config.cache.BriefDatabaseCache",
            "LOCATION": "league_cache",
            "OPTIONS": {"MAX_ENTRIES": 20_000},
        }
    ),
}

# Background work: with Redis a Celery worker and its beat, without it `manage.py work` runs the same timetable.
# A message is a nudge only; what is due is a row, so a lost message costs one turn of the timetable.

CELERY_BROKER_URL = REDIS.replace("unix://", "redis+socket://", 1).replace("?db=", "?virtual_host=", 1) or None
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": 300}
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_TIME_LIMIT = 120
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_TIMEZONE = TIME_ZONE
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA / "timetable")
CELERY_BEAT_SCHEDULE = {
    "refresh due outlooks": {"task": "league.tasks.refresh_due_outlooks", "schedule": 5.0},
    "judge outlooks": {"task": "league.tasks.judge_outlooks", "schedule": crontab(minute="40")},
    "erase who is due": {"task": "league.tasks.erase_who_is_due", "schedule": crontab(minute="10")},
    "clear what has ended": {"task": "league.tasks.clear_what_has_ended", "schedule": crontab(minute="20", hour="3")},
    "check ledgers": {"task": "league.tasks.check_ledgers", "schedule": crontab(minute="*/5", hour="1-4")},
}

# Accounts and sign-in

AUTH_USER_MODEL = "league.Account"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["email", "name"]},
    },
]
SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_AGE = int(timedelta(days=env_int("LEAGUE_SIGN_IN_IDLE_DAYS", 30, 1, 365)).total_seconds())
SIGN_IN_MAX_DAYS = env_int("LEAGUE_SIGN_IN_MAX_DAYS", 180, 1, 3_650)
ERASE_AFTER_DAYS = env_int("LEAGUE_ERASE_AFTER_DAYS", 7, 0, 30)
PASSWORD_RESET_TIMEOUT = int(timedelta(hours=2).total_seconds())
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "/"
SESSION_COOKIE_NAME = "__Host-session" if BEHIND_HTTPS else "session"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = BEHIND_HTTPS
CSRF_COOKIE_NAME = "__Host-csrf" if BEHIND_HTTPS else "csrf"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = BEHIND_HTTPS

# What the sign-in calls the address when it asks; by default a failure and the next try would be counted apart.
AXES_USERNAME_FORM_FIELD = "username"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_DISABLE_ACCESS_LOG = True
AXES_ENABLE_ADMIN = False
AXES_LOCKOUT_CALLABLE = "league.web.accounts.too_many_tries"
AXES_VERBOSE = False

# Browser-side protection

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    },
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SECURE_SSL_REDIRECT = BEHIND_HTTPS
SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
SECURE_HSTS_SECONDS = env_int("LEAGUE_HSTS_SECONDS", 31_536_000, 0, 63_072_000) if BEHIND_HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = BEHIND_HTTPS
SECURE_HSTS_PRELOAD = BEHIND_HTTPS

# API

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "league.api.authentication.TokenAuthentication",
        "league.api.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "league.api.schema.Schema",
    "EXCEPTION_HANDLER": "league.api.errors.handler",
    "DEFAULT_THROTTLE_CLASSES": ["league.api.authentication.Pace"],
    "DEFAULT_THROTTLE_RATES": {
        "anon": f"{env_int('LEAGUE_RATE_UNSIGNED', 60, 1, 1_000_000)}/minute",
        "user": f"{env_int('LEAGUE_RATE_SIGNED', 600, 1, 1_000_000)}/minute",
    },
    "NUM_PROXIES": 0,
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "League",
    "DESCRIPTION": "Cards, ledgers and seasons. Every index is unofficial.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {
        "RoleEnum": ["organiser", "scorer", "player", "guest"],
        "InvitedRoleEnum": ["player", "scorer"],
        "KeptRoleEnum": ["player", "guest"],
        "CardStateEnum": ["open", "sent", "dropped"],
        "LineStateEnum": ["open", "waits", "posted", "declined"],
        "LookBackStateEnum": ["draft", "done", "skipped"],
        "TroubleKindEnum": ["out_of_bounds", "penalty_area", "bunker", "trees", "fall_off"],
        "SideEnum": ["left", "right", "across", "short", "long"],
        "ClubKindEnum": ["driver", "wood", "hybrid", "iron", "wedge", "putter"],
    },
}

# Files

STATIC_URL = "/static/"
STATIC_ROOT = DATA / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "league.config.static.Modules"},
}
MEDIA_ROOT = DATA / "media"

# Uploads are read in memory and never written down; the readers of files keep limits of their own below these.

FILE_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
FILE_UPLOAD_HANDLERS = ["league.web.uploads.Bounded", "django.core.files.uploadhandler.MemoryFileUploadHandler"]

# Mail: printed on the console until a server is named.

EMAIL_HOST = env_text("LEAGUE_MAIL_HOST", "")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'console'}.EmailBackend"
EMAIL_PORT = env_int("LEAGUE_MAIL_PORT", 587, 1, 65_535)
EMAIL_HOST_USER = env_text("LEAGUE_MAIL_USER", "")
EMAIL_HOST_PASSWORD = env_text("LEAGUE_MAIL_PASSWORD", "")
EMAIL_USE_TLS = env_bool("LEAGUE_MAIL_TLS", True)
EMAIL_TIMEOUT = 10
DEFAULT_FROM_EMAIL = env_text("LEAGUE_MAIL_FROM", "league@localhost")

LOGGING = logging_for(env_choice("LEAGUE_LOG_LEVEL", "WARNING", ("DEBUG", "INFO", "WARNING", "ERROR")))

# The journal. Its text is sealed when there are keys, which are kept here and never in the database: the first seals,
# all of them open. LEAGUE_ERASERS and LEAGUE_EXPORTS are how a person who leaves takes the journal along, without the
# league knowing it: functions of a player, and functions of an account that give tables of the archive. And
# LEAGUE_HOME_LINES: functions of a player that give lines for that player's own home.

JOURNAL_KEYS = env_list("LEAGUE_JOURNAL_KEYS", [])
HELP_LINES = [line.strip() for line in env_text("LEAGUE_HELP_LINES", "").split(";") if line.strip()]
LEAGUE_ERASERS = ["journal.services.leaving.forget_player"]
LEAGUE_EXPORTS = ["journal.archive.tables_of"]
LEAGUE_HOME_LINES = ["journal.readings.home_lines"]

# Golf: a check of the form only, since the rules name no upper bound for a hole.

LEAGUE_MOST_STROKES_A_HOLE = env_int("LEAGUE_MOST_STROKES_A_HOLE", 25, 10, 99)
