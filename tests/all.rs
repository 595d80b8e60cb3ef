mod engine_class;
mod engine_random;
