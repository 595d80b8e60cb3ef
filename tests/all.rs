mod engine_class;
mod engine_random;
mod engine_verify;
mod job_shop;
