//! The page's server: plans in, answers out, on this machine alone.
//!
//! Each question about a plan brings the plan's text along, so an answer depends on nothing
//! but the question (and the rack file a plan may name); what was worked out lately is
//! remembered ([`cache`]). Plans are kept on the [`shelf`]. What takes long is a job with
//! events ([`jobs`]). Who may ask is told in [`guard`]. Nothing is asked of any other address.
//!
//! [`router`] is the whole server without a socket, for tests and for [`listen`].

pub mod answer;
pub mod cache;
pub mod cards;
pub mod examples;
pub mod guard;
pub mod jobs;
mod limits;
pub mod listen;
mod look;
mod pages;
mod pool;
mod routes;
pub mod shelf;
pub mod wire;

use std::io;
use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;

use cache::Cache;
use cards::Cards;
use guard::Hosts;
use jobs::Jobs;
use pool::Pool;
use shelf::Shelf;

/// Largest request, bytes: a plan's text and some words.
pub const LARGEST_BODY: usize = 1 << 20;

/// What all requests share.
#[derive(Debug)]
pub struct Server {
    /// The plans.
    pub shelf: Shelf,
    cards: Cards,
    cache: Cache,
    pool: Pool,
    /// The jobs.
    pub jobs: Jobs,
}

impl Server {
    /// A server of the plans in a folder, which is made where it is missing; the demo plan is
    /// put into one that is new and holds no plan.
    ///
    /// # Errors
    /// Where the folder cannot be used, or the system gives no threads.
    pub fn open(folder: &Path) -> io::Result<Arc<Self>> {
        let shelf = Shelf::open(folder)?;
        examples::welcome(&shelf)?;
        let pool = Pool::new();
        Ok(Arc::new(Self {
            cards: Cards::of(&shelf),
            cache: Cache::default(),
            jobs: Jobs::new(pool.clone())?,
            pool,
            shelf,
        }))
    }
}

/// Every route, behind the guard.
pub fn router(server: Arc<Server>, hosts: Hosts) -> Router {
    Router::new()
        .nest("/api", routes::all())
        .route("/", axum::routing::get(pages::page))
        .route("/{*path}", axum::routing::get(pages::asset))
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        .layer(from_fn_with_state(hosts, guard::guard))
        .with_state(server)
}
