"""The pages: they parse, call and show; no arithmetic and no SQL, HTML first, working with scripts off."""
