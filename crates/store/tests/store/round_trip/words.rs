//! Every word of the closed lists goes in and comes out as itself.

use hod_domain::id::LabourConstantId;
use hod_domain::mix::{PartMeasure, Purpose};
use hod_domain::unit::Unit;
use hod_domain::work::{Driver, Task};
use hod_store::{StoreFault, labour_constant, material, mix};

use crate::examples::*;

/// Every unit in which something can be bought goes in and comes out as itself, and no other goes in.
#[tokio::test]
async fn a_material_is_ordered_in_every_unit_in_which_things_are_bought() {
    use Unit::{
        Bag, Bale, Batch, Each, H, Kg, KgPerM3, L, Lift, M, M2, M3, Mm, Money, Number, Percent,
        Roll, T,
    };
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    for unit in [M, M2, M3, L, Kg, T, Bale, Bag, Roll, Each] {
        let mut written = material(&format!("by-{}", unit.word()));
        written.purchase_unit = unit;
        material::insert(&mut session, &written).await.unwrap();
        let read = material::get(&mut session, &written.id).await.unwrap();
        assert_eq!(read.value, written);
    }
    for unit in [H, Batch, Lift, Percent, Money, Number, KgPerM3, Mm] {
        let mut session = ground.session().await;
        let mut written = material("unfit");
        written.purchase_unit = unit;
        let fault = material::insert(&mut session, &written).await.unwrap_err();
        assert!(
            matches!(
                fault,
                StoreFault::Refused {
                    rule: "material_purchase_unit_known",
                    ..
                }
            ),
            "{unit:?}: {fault}"
        );
    }
}

#[tokio::test]
async fn every_task_and_every_driver_is_read_as_it_was_written() {
    use Driver::{
        Batch, Job, Lift, M2Coat, M2Face, M2Panel, M3Bank, M3Loose, M3Loose25m, M3Mixed, M3Placed,
        Opening, Piece,
    };
    let drivers = [
        Batch, M3Placed, M3Bank, M3Loose, M3Loose25m, M2Face, Lift, Opening, Job, M3Mixed, Piece,
        M2Panel, M2Coat,
    ];
    let ground = Ground::new().await;
    let mut session = ground.session().await;
    for (task, driver) in Task::ALL.iter().zip(drivers.iter().cycle()) {
        let mut constant = labour_constant("constant");
        constant.id = LabourConstantId::parse(&format!("{task:?}").to_lowercase()).unwrap();
        (constant.task, constant.driver) = (*task, *driver);
        labour_constant::insert(&mut session, &constant)
            .await
            .unwrap();
        assert_eq!(
            labour_constant::get(&mut session, &constant.id)
                .await
                .unwrap()
                .value,
            constant
        );
    }
    assert!(
        drivers.len() <= Task::ALL.len(),
        "every driver has had its turn"
    );
}

#[tokio::test]
async fn every_purpose_and_measure_of_a_mix_is_read_as_it_was_written() {
    use PartMeasure::{Bucket, MixerDrum, TractorLoad, Wheelbarrow};
    use Purpose::{
        BasePlaster, Fill, FinishPlaster, Floor, HeatStoring, Insulating, Mortar, Structural, Wash,
    };
    let purposes = [
        Structural,
        Insulating,
        HeatStoring,
        BasePlaster,
        FinishPlaster,
        Wash,
        Mortar,
        Floor,
        Fill,
    ];
    let measures = [Bucket, Wheelbarrow, TractorLoad, MixerDrum];
    let ground = Ground::new().await;
    let mut session = ground.furnished().await;
    let mut cob = mix("house-cob");
    for (purpose, measure) in purposes.into_iter().zip(measures.into_iter().cycle()) {
        (cob.purpose, cob.measure) = (purpose, measure);
        mix::update(&mut session, &cob, None).await.unwrap();
        assert_eq!(mix::get(&mut session, &cob.id).await.unwrap().value, cob);
    }
}
