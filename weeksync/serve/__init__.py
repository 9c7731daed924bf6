"""`weeksync serve`: the built site, marks and pages of one's own over HTTP."""
