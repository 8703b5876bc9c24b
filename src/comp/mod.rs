//! What a tool must follow so that a nominal line is what it leaves.
