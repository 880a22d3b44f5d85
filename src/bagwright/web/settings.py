"""Django's settings, all from the environment that `bagwright serve` sets. docs/serving.md lists them.

BAGWRIGHT_DATA folder of the data; DATABASE_URL PostgreSQL instead of SQLite; BAGWRIGHT_MODE "single" (this
machine only, no log-in) or "shop" (accounts); BAGWRIGHT_HOSTS names that the shop is reached by, with commas;
BAGWRIGHT_HTTPS "1" where the shop is reached by https; BAGWRIGHT_PROXY address of a proxy that may say who
asks; BAGWRIGHT_TEST "1" in the project's own tests.
"""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from bagwright.errors import InputError
from bagwright.store.place import data_folder, database_of, kept_key

HERE = Path(__file__).parent
SHOP = os.environ.get("BAGWRIGHT_MODE", "single") == "shop"
HTTPS = os.environ.get("BAGWRIGHT_HTTPS") == "1"
TRUSTED_PROXY = os.environ.get("BAGWRIGHT_PROXY", "")
DATA = data_folder()
# Nothing is written here: whoever starts the site has made folder and key; tools that only look get a
# passing key.
SECRET_KEY = kept_key(DATA) or secrets.token_urlsafe(64)
DEBUG = False

_LOOPBACK = ["localhost", "127.0.0.1", "[::1]"]
_NAMED = [name.strip() for name in os.environ.get("BAGWRIGHT_HOSTS", "").split(",") if name.strip()]
if any("*" in name for name in _NAMED):
    raise InputError(
        "BAGWRIGHT_HOSTS holds a *.", "Name each host that the shop is reached by, such as bay.example."
    )
ALLOWED_HOSTS = [*_LOOPBACK, *_NAMED]

INSTALLED_APPS = [
    "django.contrib.contenttypes",
    "django.contrib.auth",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "bagwright.store.apps.StoreConfig",
    "bagwright.web.apps.WebConfig",
]
MIDDLEWARE = [
    "bagwright.web.middleware.headers.headers",
    "bagwright.web.middleware.guard.guard",
    "django.middleware.security.SecurityMiddleware",
    "bagwright.web.middleware.static.WholeFiles",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "bagwright.web.middleware.who.who",
    "bagwright.web.middleware.paired.paired",
    "bagwright.web.middleware.language.language",
    "bagwright.web.middleware.roles.roles",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "bagwright.web.middleware.trouble.trouble",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "bagwright.web.urls"
ASGI_APPLICATION = "bagwright.web.asgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.messages.context_processors.messages",
                "bagwright.web.context.shown",
            ],
        },
    }
]
DATABASES = {"default": database_of(os.environ.get("DATABASE_URL"), DATA)}
AUTH_USER_MODEL = "store.Account"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
     "OPTIONS": {"user_attributes": ("name",)}},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]  # fmt: skip
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"

# Five wrong passwords close an account's door for one address for a quarter of an hour.
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "web/locked.html"
AXES_HTTP_RESPONSE_CODE = 429
AXES_VERBOSE = False
AXES_DISABLE_ACCESS_LOG = True
AXES_USERNAME_FORM_FIELD = "username"
AXES_SENSITIVE_PARAMETERS: list[str] = ["username", "name", "code", "old", "new"]
AXES_CLIENT_IP_CALLABLE = "bagwright.web.middleware.proxy.address_of"

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("de", "Deutsch")]
LOCALE_PATHS = [HERE / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = os.environ.get("TZ") or "UTC"
STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False
WHITENOISE_MAX_AGE = 3600

SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = False
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "SAMEORIGIN"
DATA_UPLOAD_MAX_MEMORY_SIZE = 4 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
FILE_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024
UPLOAD_LIMIT = 64 * 1024 * 1024
if TRUSTED_PROXY:
    # The guard has removed this header from every request that did not come through the named proxy.
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
if HTTPS:
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-session"
    CSRF_COOKIE_NAME = "__Host-csrf"
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_SSL_REDIRECT = False
    SILENCED_SYSTEM_CHECKS = [
        # Other machines may be named below the shop's own name, and not speak https: the promise is for one host.
        "security.W005",
        "security.W021",
        # Papers are shown in a frame of the page that makes them; frames of other sites are refused.
        "security.W019",
        # Whoever ends TLS redirects; here it would be a loop that locks everybody out.
        "security.W008",
    ]
    CSRF_TRUSTED_ORIGINS = [f"https://{name}" for name in _NAMED]
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"plain": {"()": "bagwright.web.logs.OneLine"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "plain"}},
    "root": {"handlers": ["stderr"], "level": "WARNING"},
    "loggers": {
        "django.request": {"level": "ERROR"},
        "django.security.DisallowedHost": {"level": "CRITICAL"},
        "axes": {"level": "ERROR"},
    },
}
FORMAT_MODULE_PATH = ["bagwright.web.formats"]
