//! Work spread over the processors, with the same result on any number of them.
//!
//! Rows are cut into a fixed number of bands; each band's answer depends on nothing but its rows, and
//! the answers come back in the order of the bands. Only who works on which band varies.

use std::ops::Range;
use std::sync::Mutex;
use std::thread;

/// Into how many bands rows are cut, whatever the machine: sums are added band by band, so this
/// number is part of the result.
const BANDS: usize = 24;

/// The most threads that are started.
const MOST_THREADS: usize = 8;

/// Asks `each` about every band of `rows` rows; answers in the order of the bands.
pub(crate) fn bands<T: Send>(rows: usize, each: impl Fn(Range<usize>) -> T + Sync) -> Vec<T> {
    let parts: Vec<Range<usize>> =
        (0..BANDS).map(|band| band * rows / BANDS..(band + 1) * rows / BANDS).filter(|part| !part.is_empty()).collect();
    run(parts, each)
}

/// Fills `out`, rows of `across` items, by asking `each` for every row: its number and its place.
pub(crate) fn fill_rows<T: Send>(out: &mut [T], across: usize, each: impl Fn(usize, &mut [T]) + Sync) {
    if across == 0 || out.is_empty() {
        return;
    }
    let rows = out.len() / across;
    let deep = rows.div_ceil(BANDS).max(1);
    let parts: Vec<(usize, &mut [T])> =
        out.chunks_mut(deep * across).enumerate().map(|(band, part)| (band * deep, part)).collect();
    run(parts, |(first, part)| {
        for (row, line) in part.chunks_mut(across).enumerate() {
            each(first + row, line);
        }
    });
}

/// Does all `jobs`, several at a time; results in the order of the jobs.
fn run<J: Send, T: Send>(jobs: Vec<J>, each: impl Fn(J) -> T + Sync) -> Vec<T> {
    let threads = thread::available_parallelism().map_or(1, usize::from).min(MOST_THREADS).min(jobs.len().max(1));
    if threads == 1 {
        return jobs.into_iter().map(each).collect();
    }
    let queue = Mutex::new(jobs.into_iter().enumerate());
    let work = || {
        let mut done = Vec::new();
        loop {
            // The lock is only held to take the next job; nothing panics meanwhile.
            let next = queue.lock().ok().and_then(|mut queue| queue.next());
            let Some((place, job)) = next else { return done };
            done.push((place, each(job)));
        }
    };
    let mut done: Vec<(usize, T)> = thread::scope(|scope| {
        let others: Vec<_> = (1..threads).map(|_| scope.spawn(work)).collect();
        let mut done = work();
        for other in others {
            match other.join() {
                Ok(part) => done.extend(part),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        done
    });
    done.sort_by_key(|(place, _)| *place);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_asked_about_once_and_in_order() {
        for rows in [0, 1, 5, 24, 25, 1000] {
            let seen: Vec<usize> = bands(rows, |part| part.collect::<Vec<_>>()).concat();
            assert_eq!(seen, (0..rows).collect::<Vec<_>>());
            let mut out = vec![0; rows * 3];
            fill_rows(&mut out, 3, |row, line| line.fill(row));
            assert_eq!(out, (0..rows * 3).map(|at| at / 3).collect::<Vec<_>>());
        }
    }
}
