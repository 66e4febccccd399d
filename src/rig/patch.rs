//! What is wrong with a patch.
