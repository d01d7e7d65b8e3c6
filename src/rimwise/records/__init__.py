"""What a disc, a throw, a course is: plain frozen data, and units at the edges."""
