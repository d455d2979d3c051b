"""In and out."""

from django.contrib.auth.views import LoginView, LogoutView
from django.utils.decorators import method_decorator

from config.throttling import throttled


@method_decorator(throttled("login"), name="dispatch")
class Login(LoginView):
    template_name = "desk/login.html"
    redirect_authenticated_user = True


class Logout(LogoutView):
    """Log out, by POST only."""
