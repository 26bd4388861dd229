//! Pictures in, swatches out.
