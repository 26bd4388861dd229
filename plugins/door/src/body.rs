//! What is sent with a request: read within limits of size and time, then taken apart.

use crate::asked::{Body, File, MOST_PAIRS, pairs};
use crate::gate::Refusal;
use bytes::Bytes;
use http_body_util::{BodyExt as _, LengthLimitError, Limited};
use hyper::body::Incoming;
use hyper::header::{CONTENT_LENGTH, CONTENT_TYPE, HeaderMap};
use std::convert::Infallible;
use std::time::Duration;

/// The most files in one form.
const MOST_FILES: usize = 20;

/// Reads what was sent, no more than `most` bytes and no longer than `longest`.
pub(crate) async fn read(
    headers: &HeaderMap,
    incoming: Incoming,
    most: u64,
    longest: Duration,
) -> Result<Body, Refusal> {
    let told =
        headers.get(CONTENT_LENGTH).and_then(|length| length.to_str().ok()).and_then(|text| text.parse::<u64>().ok());
    if told.is_some_and(|told| told > most) {
        return Err(Refusal::TooLarge(most));
    }
    let limit = usize::try_from(most).unwrap_or(usize::MAX);
    let bytes = match tokio::time::timeout(longest, Limited::new(incoming, limit).collect()).await {
        Err(_) => return Err(Refusal::TooSlow),
        Ok(Err(why)) if why.is::<LengthLimitError>() => return Err(Refusal::TooLarge(most)),
        Ok(Err(_)) => return Err(Refusal::Unreadable("what was sent ended too soon".to_owned())),
        Ok(Ok(all)) => all.to_bytes(),
    };
    if bytes.is_empty() {
        return Ok(Body::Nothing);
    }
    let kind = headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let essence = kind.split(';').next().unwrap_or_default().trim().to_ascii_lowercase();
    match essence.as_str() {
        "application/x-www-form-urlencoded" => Ok(Body::Form(pairs(&bytes), Vec::new())),
        "application/json" => Ok(Body::Json(bytes.to_vec())),
        "multipart/form-data" => {
            let boundary = multer::parse_boundary(kind)
                .map_err(|_| Refusal::Unreadable("the form does not say how its parts are divided".to_owned()))?;
            form(bytes, boundary).await
        }
        _ => Err(Refusal::Unreadable("send a form, or `application/json`".to_owned())),
    }
}

/// A form with files (RFC 7578).
async fn form(bytes: Bytes, boundary: String) -> Result<Body, Refusal> {
    let unreadable = |_| Refusal::Unreadable("the form cannot be taken apart".to_owned());
    let once = Once(Some(bytes));
    let mut parts = multer::Multipart::new(once, boundary);
    let (mut fields, mut files) = (Vec::new(), Vec::new());
    while let Some(part) = parts.next_field().await.map_err(unreadable)? {
        let name = part.name().unwrap_or_default().to_owned();
        let is_file = part.file_name().is_some();
        let content = part.bytes().await.map_err(unreadable)?;
        if fields.len() + files.len() >= MOST_PAIRS || files.len() >= MOST_FILES {
            return Err(Refusal::Unreadable(format!("send at most {MOST_FILES} pictures at a time")));
        }
        if is_file {
            files.push(File { field: name, bytes: content.to_vec() });
        } else {
            fields.push((name, String::from_utf8_lossy(&content).into_owned()));
        }
    }
    Ok(Body::Form(fields, files))
}

/// Bytes that are all there, as a stream of one.
struct Once(Option<Bytes>);

impl futures_core::Stream for Once {
    type Item = Result<Bytes, Infallible>;

    fn poll_next(
        mut self: std::pin::Pin<&mut Self>,
        _: &mut std::task::Context<'_>,
    ) -> std::task::Poll<Option<Self::Item>> {
        std::task::Poll::Ready(self.0.take().map(Ok))
    }
}
