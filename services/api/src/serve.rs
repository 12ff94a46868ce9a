//! Starts the service and stops it.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

use actix_web::dev::ServerHandle;
use actix_web::error::UrlencodedError;
use actix_web::middleware::{Compress, from_fn};
use actix_web::web::{Data, FormConfig, PathConfig, QueryConfig, ServiceConfig};
use actix_web::{App, HttpServer};
use store::Store;
use utoipa_actix_web::service_config::ServiceConfig as Documented;
use utoipa_swagger_ui::{Config as DocsConfig, SwaggerUi};

use crate::config::{Config, MayNotListen, may_listen};
use crate::http::body::BODY_LIMIT;
use crate::http::document::DOCUMENT;
use crate::http::limits::Limits;
use crate::http::metrics::counted;
use crate::http::problem::{Kind, Problem};
use crate::http::{gate, log};
use crate::resources;
use crate::state::State;

/// Why the service did not start or did not go on.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// It may not listen there.
    #[error(transparent)]
    MayNotListen(#[from] MayNotListen),
    /// It cannot listen there.
    #[error("cannot listen on {address}: {source}; another program may have it: choose another address or port")]
    Bind {
        /// Where.
        address: SocketAddr,
        /// What the system said.
        source: io::Error,
    },
    /// It stopped by itself.
    #[error("the service stopped by itself: {0}")]
    Stopped(#[from] io::Error),
    /// The database could not say whether a token exists.
    #[error("the tokens cannot be looked up before the start: {0}")]
    Store(#[from] store::StoreError),
}

/// A service at work.
pub struct Running {
    /// Where it can be reached: the first address it listens on.
    pub address: SocketAddr,
    /// Stops it.
    pub handle: ServerHandle,
    /// Ends when it has stopped.
    pub task: tokio::task::JoinHandle<io::Result<()>>,
}

impl Running {
    /// Stops it, letting requests under way finish, and waits until it has.
    pub async fn stop(self) {
        self.handle.stop(true).await;
        // What a stopped service leaves behind is of no interest any more.
        drop(self.task.await);
    }
}

/// Starts the service; it goes on by itself until it is stopped.
///
/// # Errors
/// Where it may not or cannot listen where it was told to.
pub async fn start(store: Store, config: Config) -> Result<Running, ServeError> {
    if config.bind.iter().any(|address| !address.ip().is_loopback()) {
        may_listen(&config.bind, store::tokens::any(&store).await?)?;
    } else {
        may_listen(&config.bind, false)?;
    }
    // Made now, so that a mistake in it stops the start and not the first request.
    let paths = DOCUMENT.routes.all().len();
    let (bind, threads) = (config.bind.clone(), config.threads);
    counted();
    let limits = Arc::new(Limits::per_minute(config.requests_per_minute));
    let state = Data::new(State { store: store.told_time_by(config.clock.clone()), config, limits });
    let mut server = HttpServer::new(move || {
        let state = state.clone();
        App::new()
            .wrap(from_fn(gate::gate))
            .wrap(from_fn(log::log))
            .wrap(Compress::default())
            .configure(move |service| configure(service, state))
    })
    .workers(threads)
    // An answer of more than one packet would wait for the acknowledgement of the first, 40 ms where that is delayed.
    .tcp_nodelay(true)
    .disable_signals();
    for address in bind {
        server = server.bind(address).map_err(|source| ServeError::Bind { address, source })?;
    }
    let address = server.addrs().first().copied().ok_or(MayNotListen::Nowhere)?;
    let server = server.run();
    let handle = server.handle();
    tracing::info!(%address, paths, "the API is listening");
    Ok(Running { address, handle, task: tokio::spawn(server) })
}

/// Runs the service until `shutdown` ends, then lets requests under way finish.
///
/// # Errors
/// Where it may not or cannot listen where it was told to, and where it stops by itself.
pub async fn serve(store: Store, config: Config, shutdown: impl Future<Output = ()>) -> Result<(), ServeError> {
    let Running { handle, mut task, .. } = start(store, config).await?;
    tokio::select! {
        ended = &mut task => ended.map_err(io::Error::other)?.map_err(ServeError::from),
        () = shutdown => {
            handle.stop(true).await;
            task.await.map_err(io::Error::other)?.map_err(ServeError::from)
        }
    }
}

/// Everything an actix-web application needs to be this service, except the gate and the log around it.
fn configure(service: &mut ServiceConfig, state: Data<State>) {
    service
        .app_data(state)
        .app_data(PathConfig::default().error_handler(|e, _| Problem::new(Kind::BadRequest, e.to_string()).into()))
        .app_data(FormConfig::default().limit(BODY_LIMIT).error_handler(|e, _| of_a_form(&e).into()))
        .app_data(QueryConfig::default().error_handler(|e, _| Problem::new(Kind::BadRequest, e.to_string()).into()))
        .service(docs());
    resources::configure(&mut Documented::new(service));
}

/// What is wrong with a form that a browser sent.
fn of_a_form(error: &UrlencodedError) -> Problem {
    match error {
        UrlencodedError::Overflow { limit, .. } => {
            Problem::new(Kind::TooLarge, format!("The form is larger than {limit} bytes, the most that is taken."))
        }
        other => Problem::new(Kind::BadRequest, other.to_string()),
    }
}

/// The documentation pages: files inside this program, so that they work without the internet.
fn docs() -> SwaggerUi {
    SwaggerUi::new("/docs/{_:.*}").config(DocsConfig::from("/openapi.json").validator_url("none").use_base_layout())
}
