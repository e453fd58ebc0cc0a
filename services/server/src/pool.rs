//! Admission and computation: how much work is taken on, and on how many threads it runs.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::task::spawn_blocking;
use tokio::time::{Instant, timeout_at};

use working::Halt;

use crate::refused::Refused;

/// Work that was taken on; dropping the last share of it makes room.
#[derive(Clone)]
pub struct Admitted {
    _units: Arc<OwnedSemaphorePermit>,
}

/// A caller that waits for a computation. A call that is cancelled or late is dropped, and this with it.
#[derive(Default)]
struct Caller {
    gone: Arc<AtomicBool>,
}

impl Drop for Caller {
    fn drop(&mut self) {
        self.gone.store(true, Ordering::Relaxed);
    }
}

/// A bounded number of computing threads behind a bounded amount of work taken on.
pub struct Pool {
    units: Arc<Semaphore>,
    most_units: u32,
    threads: Arc<Semaphore>,
    closing: AtomicBool,
}

impl Pool {
    /// A pool that takes on so much work and computes on so many threads.
    pub fn new(units: u32, threads: usize) -> Self {
        Self {
            units: Arc::new(Semaphore::new(units as usize)),
            most_units: units,
            threads: Arc::new(Semaphore::new(threads.max(1))),
            closing: AtomicBool::new(false),
        }
    }

    /// Takes no more work on.
    pub fn close(&self) {
        self.closing.store(true, Ordering::Relaxed);
    }

    /// Takes work of a weight on, or refuses it at once. Work heavier than the whole pool is taken on when the pool is empty.
    ///
    /// # Errors
    /// There is no room, or the server is going down.
    pub fn admit(&self, units: u32) -> Result<Admitted, Refused> {
        if self.closing.load(Ordering::Relaxed) {
            return Err(Refused::ShuttingDown);
        }
        let units = units.clamp(1, self.most_units);
        let taken = Arc::clone(&self.units).try_acquire_many_owned(units);
        taken
            .map(|units| Admitted {
                _units: Arc::new(units),
            })
            .map_err(|_| Refused::Overloaded)
    }

    /// Runs a computation on a thread of its own as soon as one is free. Work that is late by then is not begun, and work whose caller is
    /// late or gone is told to halt. It counts as taken on until it has really ended, whatever became of the call.
    ///
    /// # Errors
    /// The deadline passed before it began, or it panicked.
    pub async fn run<T: Send + 'static>(
        &self,
        deadline: Instant,
        admitted: Admitted,
        work: impl FnOnce(Halt<'_>) -> Result<T, Refused> + Send + 'static,
    ) -> Result<T, Refused> {
        let waiting = timeout_at(deadline, Arc::clone(&self.threads).acquire_owned());
        let Ok(Ok(thread)) = waiting.await else {
            return Err(Refused::DeadlineExceeded);
        };
        let caller = Caller::default();
        let gone = Arc::clone(&caller.gone);
        let computing = spawn_blocking(move || {
            let _held = (thread, admitted);
            let late = || gone.load(Ordering::Relaxed) || Instant::now() >= deadline;
            if late() {
                return Err(Refused::DeadlineExceeded);
            }
            work(Halt::when(&late))
        });
        computing
            .await
            .unwrap_or_else(|panic| Err(Refused::Internal(format!("a computation ended: {panic}"))))
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    fn admitted(pool: &Pool) -> Admitted {
        pool.admit(1)
            .unwrap_or_else(|refused| panic!("{refused:?}"))
    }

    fn soon() -> Instant {
        Instant::now() + Duration::from_secs(5)
    }

    #[tokio::test]
    async fn what_does_not_fit_is_refused_and_fits_later() {
        let pool = Pool::new(4, 1);
        let first = pool.admit(3).ok();
        assert_eq!(pool.admit(2).err(), Some(Refused::Overloaded));
        drop(first);
        assert!(pool.admit(100).is_ok());
        pool.close();
        assert_eq!(pool.admit(1).err(), Some(Refused::ShuttingDown));
    }

    #[tokio::test]
    async fn a_panic_is_an_internal_refusal_and_frees_its_thread() {
        let pool = Pool::new(4, 1);
        let broken: Result<(), Refused> = pool
            .run(soon(), admitted(&pool), |_| panic!("on purpose"))
            .await;
        assert!(matches!(broken, Err(Refused::Internal(_))));
        assert_eq!(pool.run(soon(), admitted(&pool), |_| Ok(7)).await, Ok(7));
    }

    #[tokio::test]
    async fn late_work_is_not_begun() {
        let pool = Pool::new(4, 1);
        let late = pool.run(
            Instant::now(),
            admitted(&pool),
            |_| -> Result<(), Refused> { panic!("begun") },
        );
        assert_eq!(late.await, Err(Refused::DeadlineExceeded));
    }

    /// Work that goes on until it is halted, and then for as long as the test says.
    fn endless(
        last: std::sync::mpsc::Receiver<()>,
    ) -> impl FnOnce(Halt<'_>) -> Result<(), Refused> {
        move |halt| {
            while !halt.is_asked() {
                std::thread::sleep(Duration::from_millis(1));
            }
            let _ = last.recv();
            Err(Refused::DeadlineExceeded)
        }
    }

    #[tokio::test]
    async fn work_of_a_caller_who_went_is_halted_and_counts_until_it_ends() {
        let pool = Pool::new(1, 1);
        let (end, last) = std::sync::mpsc::channel();
        let admitted = admitted(&pool);
        let call = pool.run(soon() + Duration::from_secs(3600), admitted, endless(last));
        let gone = tokio::time::timeout(Duration::from_millis(50), call).await;
        assert!(gone.is_err());
        assert_eq!(pool.admit(1).err(), Some(Refused::Overloaded));
        // Halted, it ends as soon as the test lets it, though its deadline is an hour away.
        drop(end);
        for _ in 0..5000 {
            if pool.admit(1).is_ok() {
                return;
            }
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        panic!("its room is still taken");
    }

    #[tokio::test]
    async fn late_work_is_halted() {
        let pool = Pool::new(1, 1);
        let deadline = Instant::now() + Duration::from_millis(50);
        let (end, last) = std::sync::mpsc::channel();
        drop(end);
        let late = pool.run(deadline, admitted(&pool), endless(last)).await;
        assert_eq!(late, Err(Refused::DeadlineExceeded));
    }
}
