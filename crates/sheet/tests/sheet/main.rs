//! Price files from outside: what is read, what is refused and with which words, and that what is written reads back.

mod bad_text;
mod bad_workbook;
mod hostile;
mod round_trip;
mod said;
