//! Admission and computation: how much work is taken on, and on how many threads it runs.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::task::spawn_blocking;
use tokio::time::{Instant, timeout_at};

use crate::refused::Refused;

/// Work that was taken on; dropping it makes room.
pub struct Admitted {
    _units: OwnedSemaphorePermit,
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
            .map(|units| Admitted { _units: units })
            .map_err(|_| Refused::Overloaded)
    }

    /// Runs a computation on a thread of its own as soon as one is free. Work that is late by then is not begun.
    ///
    /// # Errors
    /// The deadline passed before it began, or it panicked.
    pub async fn run<T: Send + 'static>(
        &self,
        deadline: Instant,
        work: impl FnOnce() -> Result<T, Refused> + Send + 'static,
    ) -> Result<T, Refused> {
        let waiting = timeout_at(deadline, Arc::clone(&self.threads).acquire_owned());
        let Ok(Ok(thread)) = waiting.await else {
            return Err(Refused::DeadlineExceeded);
        };
        let computing = spawn_blocking(move || {
            let _thread = thread;
            if Instant::now() >= deadline {
                return Err(Refused::DeadlineExceeded);
            }
            work()
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
        let broken: Result<(), Refused> = pool.run(soon(), || panic!("on purpose")).await;
        assert!(matches!(broken, Err(Refused::Internal(_))));
        assert_eq!(pool.run(soon(), || Ok(7)).await, Ok(7));
    }

    #[tokio::test]
    async fn late_work_is_not_begun() {
        let pool = Pool::new(4, 1);
        let late: Result<(), Refused> = pool.run(Instant::now(), || panic!("begun")).await;
        assert_eq!(late, Err(Refused::DeadlineExceeded));
    }
}
