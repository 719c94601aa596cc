//! Two revisions of a design compared: what a change means for wood that is already cut, and for what has to
//! be bought.
