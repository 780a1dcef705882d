"""How long it must stay wet or hot, what that amounts to, and what counts show: computation, without files."""
