//! Does it close, does the stack go in.
