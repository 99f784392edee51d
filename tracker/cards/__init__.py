"""What each screen, label and command says: frozen values, words ready, tone chosen."""
