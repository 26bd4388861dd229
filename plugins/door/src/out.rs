//! What goes out over a connection: all at once, or events as they come, until the bell is rung.

use bytes::Bytes;
use hyper::body::Frame;
use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::mpsc::UnboundedReceiver;
use tokio::sync::watch;

pub(crate) async fn rung(mut bell: watch::Receiver<bool>) {
    // An error means that there is no bell any more.
    let _ = bell.wait_for(|rung| *rung).await;
}

pub(crate) fn stopped(bell: watch::Receiver<bool>) -> Pin<Box<dyn Future<Output = ()> + Send>> {
    Box::pin(rung(bell))
}

/// What goes out: all at once, or as it comes.
pub(crate) enum Out {
    Whole(Option<Bytes>),
    Events(UnboundedReceiver<String>, Pin<Box<dyn Future<Output = ()> + Send>>),
}

impl hyper::body::Body for Out {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        match self.get_mut() {
            Self::Whole(bytes) => Poll::Ready(bytes.take().map(|bytes| Ok(Frame::data(bytes)))),
            Self::Events(events, stopped) => {
                if stopped.as_mut().poll(context).is_ready() {
                    return Poll::Ready(None);
                }
                events.poll_recv(context).map(|event| event.map(|event| Ok(Frame::data(Bytes::from(event)))))
            }
        }
    }

    fn is_end_stream(&self) -> bool {
        match self {
            Self::Whole(bytes) => bytes.as_ref().is_none_or(Bytes::is_empty),
            Self::Events(..) => false,
        }
    }

    fn size_hint(&self) -> hyper::body::SizeHint {
        match self {
            Self::Whole(bytes) => {
                let length = bytes.as_ref().map_or(0, Bytes::len);
                hyper::body::SizeHint::with_exact(u64::try_from(length).unwrap_or(u64::MAX))
            }
            Self::Events(..) => hyper::body::SizeHint::default(),
        }
    }
}
