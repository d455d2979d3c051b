"""Settings: safe by default, told otherwise only by the environment.

Without any variable set, the process refuses to start for want of a secret key. ``FARPADDOCK_DEMO=1`` is the
embedded set-up of ``make run``: SQLite, a broker made of files, mail readable on a page, a key made on first use.
Every variable is listed, with its default, in DEVELOPERS.md.
"""

import secrets
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from config.env import Env

env = Env()

BASE_DIR = Path(__file__).resolve().parent.parent
STATE_DIR = env.path("FARPADDOCK_STATE_DIR", BASE_DIR / "var")

DEBUG = env.flag("FARPADDOCK_DEBUG", False)
DEMO = env.flag("FARPADDOCK_DEMO", False)


def _demo_key() -> str:
    """Return the demo's own key, made on first use and kept beside its database."""
    path = STATE_DIR / "demo-secret-key"
    STATE_DIR.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("x", encoding="utf-8") as handle:
            path.chmod(0o600)
            handle.write(secrets.token_urlsafe(50))
    except FileExistsError:
        pass
    return path.read_text(encoding="utf-8").strip()


SECRET_KEY = _demo_key() if DEMO else env.secret("FARPADDOCK_SECRET_KEY")
# The key under the private links is kept apart, so that the session key can be changed without breaking
# every link already mailed and printed.
LINK_KEY = env.secret("FARPADDOCK_LINK_KEY", SECRET_KEY)

ALLOWED_HOSTS = env.listing("FARPADDOCK_ALLOWED_HOSTS", ["localhost", "127.0.0.1", "[::1]"])
CSRF_TRUSTED_ORIGINS = env.listing("FARPADDOCK_TRUSTED_ORIGINS", [])
# Absolute address put into mails and QR codes, where no web request tells it.
PUBLIC_URL = env.text("FARPADDOCK_PUBLIC_URL", "http://127.0.0.1:8000").rstrip("/")
HTTPS = PUBLIC_URL.startswith("https://")

SHOP_NAME = env.text("FARPADDOCK_SHOP_NAME", "Farpaddock")
PROMISED_REPLY_HOURS = env.integer("FARPADDOCK_PROMISED_REPLY_HOURS", 48, at_least=1)

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "csp",
    "config",
    "intake",
    "tuning.desk",
    "reports",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    # Pads each answer at random, so that its length tells nothing of the secrets in it.
    "django.middleware.gzip.GZipMiddleware",
    "csp.middleware.CSPMiddleware",
    "config.middleware.PrivacyHeadersMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "config.middleware.LanguageMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
ASGI_APPLICATION = "config.asgi.application"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "config.context.shop",
                "config.context.language",
            ],
        },
    }
]

# --- Data -------------------------------------------------------------------------------------------------------

DATABASE_URL = env.secret("FARPADDOCK_DATABASE_URL", f"sqlite:///{STATE_DIR / 'farpaddock.sqlite3'}")
DATABASES: dict[str, Any] = {"default": dj_database_url.parse(DATABASE_URL, conn_max_age=60, conn_health_checks=True)}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    STATE_DIR.mkdir(parents=True, exist_ok=True)
    # Web, worker and beat share this file. A write transaction takes its lock at the start, so two writers wait
    # for each other instead of failing half-way, and readers are not held up (WAL).
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "intake.User"

REDIS_URL = env.secret("FARPADDOCK_REDIS_URL", "")
CACHES: dict[str, Any] = {
    # The throttles count in the cache, so it must be one that all web processes share.
    "default": {
        "BACKEND": "config.sharedcache.ForgivingRedisCache",
        "LOCATION": REDIS_URL,
        "OPTIONS": {"socket_connect_timeout": 0.5, "socket_timeout": 0.5},
    }
    if REDIS_URL
    else {"BACKEND": "django.core.cache.backends.db.DatabaseCache", "LOCATION": "farpaddock_cache"}
}

MEDIA_ROOT = env.path("FARPADDOCK_MEDIA_DIR", STATE_DIR / "media")
STATIC_URL = "static/"
STATIC_ROOT = env.path("FARPADDOCK_STATIC_DIR", BASE_DIR / "static-built")
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage" if DEBUG else "config.statics.Storage"
    },
}

# --- Background work ------------------------------------------------------------------------------------------

CELERY_BROKER_URL = env.secret("FARPADDOCK_BROKER_URL", REDIS_URL or "farpaddock-files://localhost")
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, Any] = (
    {"folder": str(STATE_DIR / "broker")}
    if CELERY_BROKER_URL.startswith("farpaddock-files:")
    # A web request does not wait for a broker that is away or hangs: the row is committed, the sweeper follows up.
    else {"max_retries": 0, "socket_connect_timeout": 2, "socket_timeout": 2}
)
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_SERIALIZER = "json"
CELERY_ACCEPT_CONTENT = ["json"]
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
# Printing leaves memory behind, sheet by sheet (docs/soak.md): beyond so many kB a fresh process takes the next job.
CELERY_WORKER_MAX_MEMORY_PER_CHILD = 300_000
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_PUBLISH_RETRY = False
# No task may outlive its lease; the job table, not the broker, says what is still to be done.
JOB_LEASE_SECONDS = env.integer("FARPADDOCK_JOB_LEASE_SECONDS", 120, at_least=1)
JOB_MAX_ATTEMPTS = env.integer("FARPADDOCK_JOB_MAX_ATTEMPTS", 4, at_least=1)
SWEEP_SECONDS = env.integer("FARPADDOCK_SWEEP_SECONDS", 10, at_least=1)
CELERY_TASK_TIME_LIMIT = JOB_LEASE_SECONDS
CELERY_TIMEZONE = "UTC"
# A sweep that waits longer is dropped: the next is on its way. Less than a broker's own delay would drop every one.
_SWEEP_OPTIONS = {"expires": SWEEP_SECONDS + 10}
CELERY_BEAT_SCHEDULE: dict[str, Any] = {
    "sweep-jobs": {"task": "reports.sweep", "schedule": SWEEP_SECONDS, "options": _SWEEP_OPTIONS},
    "sweep-mail": {"task": "intake.sweep_mail", "schedule": SWEEP_SECONDS, "options": _SWEEP_OPTIONS},
    "sweep-erasures": {"task": "reports.sweep_erasures", "schedule": SWEEP_SECONDS, "options": _SWEEP_OPTIONS},
    "sweep-photos": {"task": "intake.sweep_photos", "schedule": 600, "options": {"expires": 600}},
}

# --- Mail -----------------------------------------------------------------------------------------------------

DEFAULT_FROM_EMAIL = env.text("FARPADDOCK_MAIL_FROM", "Farpaddock <setup@farpaddock.example>")
_smtp_host = env.text("FARPADDOCK_SMTP_HOST", "") if not DEMO else ""
if _smtp_host:
    EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    EMAIL_HOST = _smtp_host
    EMAIL_PORT = env.integer("FARPADDOCK_SMTP_PORT", 587, at_least=1)
    EMAIL_HOST_USER = env.text("FARPADDOCK_SMTP_USER", "")
    EMAIL_HOST_PASSWORD = env.secret("FARPADDOCK_SMTP_PASSWORD", "")
    EMAIL_USE_TLS = env.flag("FARPADDOCK_SMTP_STARTTLS", True)
    EMAIL_TIMEOUT = 20
else:
    # Kept as files beside the database; the demo shows them on a page.
    EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    EMAIL_FILE_PATH = str(STATE_DIR / "mail")

# --- People and sessions ----------------------------------------------------------------------------------------

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "desk:login"
LOGIN_REDIRECT_URL = "desk:queue"
LOGOUT_REDIRECT_URL = "desk:login"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "config.errors.csrf_failure"

# --- Headers ----------------------------------------------------------------------------------------------------

SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_SSL_REDIRECT = False  # the proxy's task; see docker-compose.yml
SECURE_HSTS_SECONDS = env.integer("FARPADDOCK_HSTS_SECONDS", 0, at_least=0)
if env.flag("FARPADDOCK_BEHIND_PROXY", False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
# How many proxies of our own stand in front: the throttles take the client's address from there on.
NUM_PROXIES = env.integer("FARPADDOCK_NUM_PROXIES", 0, at_least=0)
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}

# --- Language ---------------------------------------------------------------------------------------------------

# The code is written in English; what the others need is kept in each app's locale folder (`make texts`).
LANGUAGE_CODE = "en"
# Each by its own name: who looks for their language does not read the one in use.
LANGUAGES = [("en", "English"), ("de", "Deutsch"), ("es", "Español")]
LANGUAGE_COOKIE_NAME = "far-language"
LANGUAGE_COOKIE_AGE = 365 * 24 * 3600
LANGUAGE_COOKIE_SECURE = HTTPS
LANGUAGE_COOKIE_HTTPONLY = True
FORMAT_MODULE_PATH = ["config.formats"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

# --- API --------------------------------------------------------------------------------------------------------

# A whole request document is some 10 kB; anything far beyond is refused before it is read.
DATA_UPLOAD_MAX_MEMORY_SIZE = 262_144
DATA_UPLOAD_MAX_NUMBER_FIELDS = 400
# Files are taken only where photos are; what arrives is never held in memory (see intake.photos.receiving).
FILE_UPLOAD_HANDLERS = ["intake.photos.receiving.BoundedUpload"]
DATA_UPLOAD_MAX_NUMBER_FILES = 12
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_THROTTLE_CLASSES": ["config.throttling.ApiThrottle"],
    "NUM_PROXIES": NUM_PROXIES,
}
# Counts per window, shared by all processes: <count>/<second|minute|hour|day>.
THROTTLE_RATES = {
    "api": env.text("FARPADDOCK_THROTTLE_API", "120/minute"),
    "api-create": env.text("FARPADDOCK_THROTTLE_API_CREATE", "20/hour"),
    "start": env.text("FARPADDOCK_THROTTLE_START", "20/hour"),
    "link": env.text("FARPADDOCK_THROTTLE_LINK", "30/minute"),
    "lost-link": env.text("FARPADDOCK_THROTTLE_LOST_LINK", "5/hour"),
    "login": env.text("FARPADDOCK_THROTTLE_LOGIN", "10/minute"),
    "form": env.text("FARPADDOCK_THROTTLE_FORM", "120/minute"),
    "look": env.text("FARPADDOCK_THROTTLE_LOOK", "240/minute"),
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Farpaddock",
    "DESCRIPTION": "Create a setup request, add readings, follow it, fetch its sheet; tuners: derive and draft, and "
    "ask the engine of any document. JSON Schemas of the engine's documents: `/api/v1/schemas/`.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "COMPONENT_SPLIT_REQUEST": True,
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "intake.api.schema.tell_limits",
        "tuning.desk.api.engine_schemas.tell_engine",
    ],
    "ENUM_NAME_OVERRIDES": {
        "RequestState": "intake.choices.RequestState",
        "DraftState": "tuning.desk.models.Recommendation.State",
        "JobState": "reports.models.Job.State",
        "YesNo": "tuning.engine.vocabulary.YES_NO",
        "Unit": "intake.api.document.UNIT_IDS",
        "AdjusterUnit": "tuning.engine.case.ADJUSTER_UNITS",
        "ChangeUnit": "tuning.desk.api.content.CHANGE_UNITS",
    },
}

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["stderr"], "level": env.text("FARPADDOCK_LOG_LEVEL", "INFO")},
    # Tells every step of every page at INFO.
    "loggers": {"weasyprint": {"level": "WARNING"}, "fontTools": {"level": "WARNING"}},
}

if DEMO and env.text("FARPADDOCK_SMTP_HOST", ""):
    raise ImproperlyConfigured(
        "FARPADDOCK_DEMO shows mails on a page; take FARPADDOCK_SMTP_HOST away or turn the demo off"
    )
