//! Lengths and sizes against published values, and against a second way on seeded random input.

mod agree;
mod hostile;
mod published;
mod seeded;
