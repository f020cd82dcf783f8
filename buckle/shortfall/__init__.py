"""How many will fall short: the distribution of the least reserve that the tolerances of a case make."""
