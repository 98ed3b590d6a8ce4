"""What leaves the plot: tables, the whole plot as a bundle, and the forms that other programs and archives read."""
