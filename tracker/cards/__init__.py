"""What each screen, label and command says: frozen values with finished words and a chosen tone."""
