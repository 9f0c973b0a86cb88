//! Nouns that are kept under an id of the firm's own: shown by it, made, and changed field by field.
//! The calls and what is printed are here, once for all of them; what each noun is made of, and its list, stay with it.

use clap::Args;
use prost_types::FieldMask;
use tonic::Status;

use super::Context;
use super::write::{Create, Mask, Update, Which, Writing};
use crate::connect::Connection;
use crate::fault::Failure;
use crate::name::{full, short};
use crate::noun::Noun;

/// The flags that give a noun's fields.
pub(super) trait Fields<T>: Args {
    /// Fills in those that are given, and names them.
    fn fill(self, thing: &mut T) -> Mask;
}

/// A noun that is made and changed.
pub(super) trait Kept: Noun {
    /// The collection it is in.
    const COLLECTION: &'static str;
    /// The word of its command.
    const COMMAND: &'static str;

    /// Nothing of it but which version it is of.
    fn version(name: String, etag: String) -> Self;
    /// The next step once one of this id is made.
    fn next(id: &str) -> String;

    async fn get(connection: &Connection, name: String) -> Result<Self, Status>;
    async fn create(
        self,
        id: String,
        connection: &Connection,
        writing: &Writing,
    ) -> Result<Self, Status>;
    async fn update(
        self,
        mask: Option<FieldMask>,
        connection: &Connection,
        writing: &Writing,
    ) -> Result<Self, Status>;
}

/// A noun's calls: the stub, then each request with the fields in which it carries the id and the thing.
macro_rules! kept {
    (
        $noun:ident in $collection:ident, $command:literal: $stub:ident,
        $get:ident($get_request:ident),
        $create:ident($create_request:ident { $create_id:ident, $created:ident }),
        $update:ident($update_request:ident { $updated:ident }),
        next |$id:ident| $next:expr
    ) => {
        impl $crate::command::kept::Kept for $noun {
            const COLLECTION: &'static str = $collection;
            const COMMAND: &'static str = $command;

            fn version(name: String, etag: String) -> Self {
                Self {
                    name,
                    etag,
                    ..Self::default()
                }
            }

            fn next($id: &str) -> String {
                $next
            }

            async fn get(
                connection: &$crate::connect::Connection,
                name: String,
            ) -> Result<Self, tonic::Status> {
                let answer = connection.$stub().$get($get_request { name }).await?;
                Ok(answer.into_inner())
            }

            async fn create(
                self,
                id: String,
                connection: &$crate::connect::Connection,
                writing: &$crate::command::write::Writing,
            ) -> Result<Self, tonic::Status> {
                let request = $create_request {
                    $create_id: id,
                    $created: Some(self),
                    request_id: writing.request_id(),
                    validate_only: writing.dry_run,
                };
                Ok(connection.$stub().$create(request).await?.into_inner())
            }

            async fn update(
                self,
                update_mask: Option<prost_types::FieldMask>,
                connection: &$crate::connect::Connection,
                writing: &$crate::command::write::Writing,
            ) -> Result<Self, tonic::Status> {
                let request = $update_request {
                    $updated: Some(self),
                    update_mask,
                    request_id: writing.request_id(),
                    validate_only: writing.dry_run,
                };
                Ok(connection.$stub().$update(request).await?.into_inner())
            }
        }
    };
}
pub(super) use kept;

/// Shows one in full.
pub(super) async fn show<T: Kept>(which: Which, mut context: Context<'_>) -> Result<(), Failure> {
    let connection = context.connect().await?;
    let thing = T::get(&connection, full(T::COLLECTION, &which.id)).await?;
    context.output.one(&thing)
}

/// Makes one.
pub(super) async fn create<T: Kept>(
    create: Create<impl Fields<T>>,
    mut context: Context<'_>,
) -> Result<(), Failure> {
    let connection = context.connect().await?;
    let mut thing = T::default();
    create.fields.fill(&mut thing);
    let thing = thing
        .create(create.id, &connection, &create.writing)
        .await?;
    let done = create.writing.done("made");
    let next = T::next(&short(thing.name()));
    context.output.written(&thing, &done, &next)
}

/// Changes what is given of one.
pub(super) async fn update<T: Kept>(
    update: Update<impl Fields<T>>,
    mut context: Context<'_>,
) -> Result<(), Failure> {
    let connection = context.connect().await?;
    let name = full(T::COLLECTION, &update.id);
    let mut thing = T::version(name, update.etag.unwrap_or_default());
    let mask = update.fields.fill(&mut thing).named()?;
    let thing = thing.update(mask, &connection, &update.writing).await?;
    let done = update.writing.done("changed");
    let next = format!("hod {} show {}", T::COMMAND, short(thing.name()));
    context.output.written(&thing, &done, &next)
}
