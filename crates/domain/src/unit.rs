//! What a quantity on paper is counted in, and to what step it is shown. Conversions are the business of `hod_units`.

/// What a quantity is counted in. A closed list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Metre.
    M,
    /// Square metre.
    M2,
    /// Cubic metre; of loose material where it is bought.
    M3,
    /// Litre.
    L,
    /// Kilogram.
    Kg,
    /// Metric tonne.
    T,
    /// Hour of one person.
    H,
    /// A bale, whole.
    Bale,
    /// A bag, whole.
    Bag,
    /// A roll, whole.
    Roll,
    /// A piece, whole.
    Each,
    /// One making of a mix.
    Batch,
    /// One pass of placed height.
    Lift,
    /// Percent of what stands before it.
    Percent,
    /// Money, in the currency of the answer.
    Money,
    /// A plain number.
    Number,
    /// Kilogram per cubic metre.
    KgPerM3,
}
