"""What the packages for programmers are made of: their code goes into each release as it stands here."""
